/**
 * How far a place that was found alone may be off, by what its look leaves unexplained there. Noise differs from pixel to pixel; a
 * codec's blocks, a changed shade and another depth do not, so that they draw a place farther than noise of the same strength.
 *
 *   r = what the look at its best gain leaves        b = Σ ∇I·r over a sixteenth of the window        A = Σ ∇I ∇Iᵀ over all of it
 *   covariance = A⁻¹ · (16/15 · Σ b bᵀ) · A⁻¹
 *
 * The sixteenths count as independent of each other, the pixels within one do not. Source: [liang1986].
 */
import { eigenvaluesOf } from './texture.js'

const PARTS = 4

/**
 * @param there what lies at the place, `window`² values  @param left r, likewise
 * @returns standard deviation along the worse direction, px
 */
export function unexplained(there: Float32Array, left: Float32Array, window: number): number {
  const sums = new Float64Array(2 * PARTS * PARTS)
  let [xx, xy, yy] = [0, 0, 0]
  for (let j = 1; j < window - 1; j++) {
    for (let i = 1; i < window - 1; i++) {
      const at = j * window + i
      const dx = ((there[at + 1] as number) - (there[at - 1] as number)) / 2
      const dy = ((there[at + window] as number) - (there[at - window] as number)) / 2
      xx += dx * dx
      xy += dx * dy
      yy += dy * dy
      const k = 2 * (Math.floor((j * PARTS) / window) * PARTS + Math.floor((i * PARTS) / window))
      const r = left[at] as number
      sums[k] = (sums[k] as number) + dx * r
      sums[k + 1] = (sums[k + 1] as number) + dy * r
    }
  }
  const det = xx * yy - xy * xy
  if (!(det > 0)) return Number.POSITIVE_INFINITY
  let [uu, uv, vv] = [0, 0, 0]
  for (let k = 0; k < sums.length; k += 2) {
    const [p, q] = [sums[k] as number, sums[k + 1] as number]
    const [u, v] = [(yy * p - xy * q) / det, (xx * q - xy * p) / det]
    uu += u * u
    uv += u * v
    vv += v * v
  }
  const few = (PARTS * PARTS) / (PARTS * PARTS - 1)
  return Math.sqrt(few * eigenvaluesOf([uu, uv, vv])[0])
}
