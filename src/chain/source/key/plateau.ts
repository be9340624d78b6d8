/**
 * Spill or a veil? A solid thing's rim sends some of the screen's light back, and is taken for slightly clear. But what is clear at an
 * edge, by focus or by motion, runs up to 1; what stays level just below it is taken for spill on something solid.
 *
 *   level   α within 0.15 over 5×5 pixels, nowhere below 0.85: no more than 15 % of the screen's light is spill
 *   α′      min(α / c, 1)      c the mean of what is level nearby (gaussian of 3 px · u) less two of its σ, so that noise does not leave
 *                              a solid thing short of 1; 1 where nothing is
 *
 * A veil that is nowhere clearer than 15 % becomes solid. Limits are choices.
 */
import type { FloatImage } from '../../../core/index.js'
import { gaussianBlur } from '../../../kernels/index.js'

const AROUND = 2
const LEAST = 0.85
const LEVEL = 0.15
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
  const least = extremes(alpha, width, height, Math.min)
  const most = extremes(alpha, width, height, Math.max)
  for (let p = 0; p < alpha.length; p++) {
    const [lo, hi] = [least[p] as number, most[p] as number]
    if (lo <= LEAST || hi - lo >= LEVEL) continue
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

/** The least or the greatest of 5×5 pixels, fewer at the border. */
function extremes(
  of: Float32Array,
  width: number,
  height: number,
  pick: (a: number, b: number) => number,
): Float32Array {
  const rows = lines(of, { length: width, step: 1 }, { count: height, step: width }, pick)
  return lines(rows, { length: height, step: width }, { count: width, step: 1 }, pick)
}

interface Line {
  readonly length: number
  readonly step: number
}

function lines(
  from: Float32Array,
  along: Line,
  across: { readonly count: number; readonly step: number },
  pick: (a: number, b: number) => number,
): Float32Array {
  const out = new Float32Array(from.length)
  for (let l = 0; l < across.count; l++) {
    for (let k = 0; k < along.length; k++) {
      const start = l * across.step
      let v = from[start + k * along.step] as number
      for (let i = Math.max(k - AROUND, 0); i <= Math.min(k + AROUND, along.length - 1); i++)
        v = pick(v, from[start + i * along.step] as number)
      out[start + k * along.step] = v
    }
  }
  return out
}
