/**
 * A blur that runs over an element: straight between two places of the plate, held beyond them.
 *
 *   r(x, y) = r₀ + t (r₁ − r₀)     t = ((x, y) − p₀) · (p₁ − p₀) / |p₁ − p₀|², from 0 to 1
 *
 * Radii below 0 lie nearer than the focus, above 0 farther: the circle of confusion of [potmesil1981] with its sign.
 */
import type { RadiusField } from '../../../kernels/index.js'

/** x, y and signed radius at one end, then at the other; plate px. */
export type BlurGradient = readonly [number, number, number, number, number, number]

export function gradientField([x0, y0, r0, x1, y1, r1]: BlurGradient): RadiusField {
  const [dx, dy] = [x1 - x0, y1 - y0]
  const long = Math.max(dx * dx + dy * dy, 1e-9)
  return {
    at: (x, y) => {
      const t = ((x + 0.5 - x0) * dx + (y + 0.5 - y0) * dy) / long
      return r0 + Math.min(Math.max(t, 0), 1) * (r1 - r0)
    },
    most: Math.max(Math.abs(r0), Math.abs(r1)),
  }
}
