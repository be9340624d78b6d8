/**
 * A blur that runs over an element: straight between two places of the plate, held beyond them.
 *
 *   r(x, y) = r₀ + t (r₁ − r₀)     t = ((x, y) − p₀) · (p₁ − p₀) / |p₁ − p₀|², from 0 to 1
 *
 * Radii below 0 lie nearer than the focus, above 0 farther: the circle of confusion of [potmesil1981] with its sign.
 */
import { around, type FloatImage, type Reach } from '../../../core/index.js'
import { type Aperture, layeredBlur, layeredReach } from '../../../kernels/index.js'

/** x, y and signed radius at one end, then at the other; plate px. */
export type BlurGradient = readonly [number, number, number, number, number, number]

const DISC: Aperture = { blades: 0, rotationDeg: 0, squeeze: 1, corner: 0 }

export function gradientReach(g: BlurGradient, aperture = DISC): Reach {
  return around(layeredReach(widestOf(g), aperture))
}

/** Near over far, as `kernels/layered` says. */
export function blurAlong(light: FloatImage, g: BlurGradient, aperture = DISC): FloatImage {
  const [x0, y0, r0, x1, y1, r1] = g
  const [dx, dy] = [x1 - x0, y1 - y0]
  const long = Math.max(dx * dx + dy * dy, 1e-9)
  const radiusAt = (x: number, y: number) => {
    const t = ((x + 0.5 - x0) * dx + (y + 0.5 - y0) * dy) / long
    return r0 + Math.min(Math.max(t, 0), 1) * (r1 - r0)
  }
  return layeredBlur(light, radiusAt, widestOf(g), aperture)
}

/** The same with a share of its radii. */
export function weakGradient([x0, y0, r0, x1, y1, r1]: BlurGradient, share: number): BlurGradient {
  return [x0, y0, share * r0, x1, y1, share * r1]
}

function widestOf([, , r0, , , r1]: BlurGradient): number {
  return Math.max(Math.abs(r0), Math.abs(r1))
}
