import { around, type Reach } from '../../../core/index.js'
import { type Aperture, apertureReach, discReach } from '../../../kernels/index.js'

/** A disc of confusion of this radius in pixels, or the shape that an aperture makes of it. */
export function defocusReach(radius: number, aperture?: Aperture): Reach {
  return around(aperture === undefined ? discReach(radius) : apertureReach(radius, aperture))
}
