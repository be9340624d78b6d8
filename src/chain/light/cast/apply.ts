import type { FloatImage, Region } from '../../../core/index.js'
import { castRise, type Emission, type Surface, surfaceReach, surfaceShare } from './model.js'

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
 * In place: multiplies the plate's light where the surface answers; `variance` (four values a pixel, R, G, B and one unused) follows
 * the square of the factor.
 */
export function applyCast(
  plate: FloatImage,
  variance: Float32Array,
  mask: SurfaceMask,
  emission: Emission,
  metresPerPixel: number,
  factor: number,
): void {
  const { peak, falloff } = castRise(mask.surface, emission, metresPerPixel, factor)
  const { region: r, share } = mask
  const p = plate.region
  const x0 = Math.max(r.x, p.x)
  const x1 = Math.min(r.x + r.width, p.x + p.width)
  const y1 = Math.min(r.y + r.height, p.y + p.height)
  for (let y = Math.max(r.y, p.y); y < y1; y++) {
    for (let x = x0; x < x1; x++) {
      const s = share[(y - r.y) * r.width + x - r.x] as number
      if (s === 0) continue
      const at = s * falloff(x, y)
      const i = (y - p.y) * p.width + x - p.x
      for (let c = 0; c < 3; c++) {
        const k = 1 + at * (peak[c] as number)
        plate.data[4 * i + c] = (plate.data[4 * i + c] as number) * k
        variance[4 * i + c] = (variance[4 * i + c] as number) * k * k
      }
    }
  }
}
