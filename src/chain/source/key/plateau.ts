/**
 * Spill or a veil? A solid thing's rim sends some of the screen's light back, and is taken for slightly clear. But what is clear at an
 * edge, by focus or by motion, runs up to 1; what stays level just below it is taken for spill on something solid.
 *
 *   level   α nowhere below 0.85 over 5×5 pixels: no more than 15 % of the screen's light is spill
 *   α′      min(α / c, 1)      c the mean of what is level nearby (gaussian of 3 px · u) less two of its σ, so that noise does not leave
 *                              a solid thing short of 1; 1 where nothing is
 *
 * A veil that is nowhere clearer than 15 % becomes solid. Limits are choices.
 */
import type { FloatImage } from '../../../core/index.js'
import { gaussianBlur } from '../../../kernels/index.js'

const AROUND = 2
const LEAST = 0.85
const WIDTH = 3
const SIGMAS = 2
/** Part of the weight nearby from which it counts in full. */
const ENOUGH = 0.05

/** What alpha is divided by, over the picture. @param alpha of every pixel */
export function plateau(
  alpha: Float32Array,
  { width, height }: { readonly width: number; readonly height: number },
  unit: number,
): Float32Array {
  const flat: FloatImage = { region: { x: 0, y: 0, width, height }, data: new Float32Array(4 * alpha.length) }
  const least = leastAround(alpha, width, height)
  for (let p = 0; p < alpha.length; p++) {
    if (least[p]! <= LEAST) continue
    flat.data[4 * p] = alpha[p] as number
    flat.data[4 * p + 1] = (alpha[p] as number) ** 2
    flat.data[4 * p + 3] = 1
  }
  const { data } = gaussianBlur(flat, WIDTH * unit, flat.region)
  return alpha.map((_, p) => {
    const weight = data[4 * p + 3] as number
    if (weight < 1e-3) return 1
    const mean = (data[4 * p] as number) / weight
    const variance = Math.max((data[4 * p + 1] as number) / weight - mean * mean, 0)
    return 1 + (mean - SIGMAS * Math.sqrt(variance) - 1) * Math.min(weight / ENOUGH, 1)
  })
}

/** The least of 5×5 pixels, fewer at the border. */
function leastAround(of: Float32Array, width: number, height: number): Float32Array {
  const rows = new Float32Array(of.length)
  for (let y = 0, p = 0; y < height; y++)
    for (let x = 0; x < width; x++, p++) {
      let v = of[p]!
      for (let q = p - Math.min(x, AROUND); q <= p + Math.min(width - 1 - x, AROUND); q++)
        if (of[q]! < v) v = of[q]!
      rows[p] = v
    }
  const out = new Float32Array(of.length)
  for (let y = 0, p = 0; y < height; y++) {
    const [from, to] = [-Math.min(y, AROUND) * width, Math.min(height - 1 - y, AROUND) * width]
    for (let x = 0; x < width; x++, p++) {
      let v = rows[p]!
      for (let q = p + from; q <= p + to; q += width) if (rows[q]! < v) v = rows[q]!
      out[p] = v
    }
  }
  return out
}
