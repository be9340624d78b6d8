/** The blur by a disc in plain TypeScript: what `simd.ts` must equal to the bit. */
import { emptyImage, type FloatImage, grow } from '../../core/index.js'
import { type DiscRow, discKernel } from './kernel.js'

const { fround } = Math
const LIMIT = 65504
const STEP = 2 ** -19
/** Adding and taking away 1.5·2²³ rounds a float to a whole number, halves to even. */
const ROUND = 1.5 * 2 ** 23

/** See `apply.ts`; `radius` 0.3 or more. */
export function discBlur(src: FloatImage, radius: number): FloatImage {
  const { height } = src.region
  const by = Math.ceil(radius) + 1
  const disc = discKernel(radius)
  const reach = disc.rows.length - 1
  const pad = by + reach + 1
  const out = emptyImage(grow(src.region, by))
  const weight = fround(disc.weight)
  for (let c = 0; c < 4; c++) {
    for (let y = 0; y < height; y++) {
      const { row, low, high, any } = load(src, y, c, pad)
      if (!any) continue
      for (let k = 0; k <= reach; k++) {
        const kernel = disc.rows[k]
        const above = (y + by - k) * out.region.width
        const below = (y + by + k) * out.region.width
        for (let x = 0; x < out.region.width; x++) {
          const at = x + pad - by
          for (let e = kernel.full < 0 ? 0 : 1; e < Math.max(kernel.edge.length, 2); e++) {
            const term = termAt(at, e, kernel, weight, row, low, high)
            out.data[4 * (above + x) + c] += term
            if (k > 0) out.data[4 * (below + x) + c] += term
          }
        }
      }
    }
  }
  return out
}

/** One row of one channel between zeros: the rounded values, and the prefix sums of both their parts. */
function load(src: FloatImage, y: number, c: number, pad: number) {
  const { width } = src.region
  const row = new Float32Array(width + 2 * pad)
  const low = new Int32Array(row.length + 1)
  const high = new Int32Array(row.length + 1)
  let any = false
  for (let i = 0; i < row.length; i++) {
    const inside = i >= pad && i < pad + width
    const v = inside ? src.data[4 * (y * width + i - pad) + c] : 0
    const held = v - v === 0 ? Math.min(Math.max(v, -LIMIT), LIMIT) : 0
    const h = fround(fround(held / 8) + ROUND) - ROUND
    const l = fround(fround((held - 8 * h) / STEP) + ROUND) - ROUND
    row[i] = fround(8 * h + l * STEP)
    if (row[i] !== 0) any = true
    low[i + 1] = low[i] + l
    high[i + 1] = high[i] + h
  }
  return { row, low, high, any }
}

/** What one kernel row gives a pixel: the run with its first two edges (e = 1), then each further edge. */
function termAt(
  at: number,
  e: number,
  { full, edge }: DiscRow,
  weight: number,
  row: Float32Array,
  low: Int32Array,
  high: Int32Array,
): number {
  if (e >= edge.length && (full < 0 || e > 1)) return 0
  if (full < 0 && e === 0) return fround(fround(edge[0]) * row[at])
  const share = (k: number) => {
    const pair = fround(row[at + full + 1 + k] + row[at - full - 1 - k])
    return fround(fround(edge[k]) * pair)
  }
  if (full < 0 || e > 1) return share(e)
  const l = fround(fround((low[at + full + 1] - low[at - full]) | 0) * STEP)
  const h = fround(((high[at + full + 1] - high[at - full]) | 0) * 8)
  let sum = fround(weight * fround(l + h))
  if (edge.length > 0) sum = fround(sum + share(0))
  if (edge.length > 1) sum = fround(sum + share(1))
  return sum
}
