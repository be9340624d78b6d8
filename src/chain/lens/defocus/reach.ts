import { around, type Reach } from '../../../core/index.js'
import { discReach } from '../../../kernels/index.js'

/** A disc of confusion of this radius in pixels. */
export function defocusReach(radius: number): Reach {
  return around(discReach(radius))
}
