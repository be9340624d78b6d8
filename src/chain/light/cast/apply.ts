import type { Region } from '../../../core/index.js'
import { type Lit, throwLight } from '../../../kernels/index.js'
import { castLamps, type Emission, type Surface, surfaceReach, surfaceShare } from './model.js'

/** A surface's mask over its reach, made once a shot. */
export interface SurfaceMask {
  readonly surface: Surface
  readonly region: Region
  readonly share: Float32Array
}

export function surfaceMask(surface: Surface): SurfaceMask {
  const region = surfaceReach(surface)
  const share = new Float32Array(region.width * region.height)
  for (let y = 0; y < region.height; y++) {
    for (let x = 0; x < region.width; x++) {
      share[y * region.width + x] = surfaceShare(surface, region.x + x, region.y + y)
    }
  }
  return { surface, region, share }
}

/**
 * In place: multiplies the plate's light where the surface answers; its variance (four values a pixel, R, G, B and one unused)
 * follows the square of the factor.
 */
export function applyCast(
  plate: Lit,
  { surface, region, share }: SurfaceMask,
  emission: Emission,
  metresPerPixel: number,
  factor: number,
): void {
  throwLight(plate, { region, share }, castLamps(surface, emission, metresPerPixel, factor))
}
