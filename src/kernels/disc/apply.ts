/**
 * Blur by a disc of confusion: every pixel becomes the mean over the disc around it (`kernel.ts` for the weights).
 *
 * Cost grows with the radius, not with its square: the wholly covered run of each kernel row is a difference of two
 * prefix sums, and a row of sums serves the picture rows above and below alike. Empty parts of rows are skipped. Outside
 * the source is 0; NaN and infinity count as 0, so they never spread; magnitudes above 65504 (the largest half float)
 * count as that.
 *
 *   v = 8·h + 2⁻¹⁹·l    h, l whole numbers, |l| ≤ 2²¹
 *
 * Each value is rounded to that pair, and the sums run over h and l as 32-bit integers. They may wrap round on the way; a
 * difference over one disc (513 pixels at most) does not, so it is exact: the same bits come out whatever part of the
 * picture is given, and a bright pixel leaves no rounding dust along its row. All else is in single precision.
 *
 * Source: [potmesil1981]; prefix sums [crow1984].
 */
import { type FloatImage, grow, isEmpty } from '../../core/index.js'
import { at, newImage } from '../wasm/images.js'
import { duringScratch, memory, takeBytes, words } from '../wasm/memory.js'
import { simd } from '../wasm/module.js'
import { type Disc, discKernel } from './kernel.js'

/** Below this the disc lies almost wholly inside its own pixel. */
const SHARP = 0.3

/** How far the blur of a radius spreads, in whole pixels. */
export function discReach(radius: number): number {
  return radius >= SHARP ? Math.ceil(radius) + 1 : 0
}

/**
 * The blurred picture on the source's region grown by {@link discReach}; the source itself below a radius of 0.3.
 * `radius` in pixels, 0 to 256.
 */
export function discBlur(src: FloatImage, radius: number): FloatImage {
  const by = discReach(radius)
  if (by === 0 || isEmpty(src.region)) return src
  const out = newImage(grow(src.region, by))
  at(src.data, false, (from) => {
    at(out.data, true, (to) => duringScratch(() => spread(src, from, out, to, discKernel(radius), by)))
  })
  return out
}

function spread(src: FloatImage, from: number, out: FloatImage, to: number, disc: Disc, by: number): void {
  const { width, height } = src.region
  const reach = disc.rows.length - 1
  const line = 16 * out.region.width
  // Zeros on both sides, as far as a kernel row of any output pixel looks.
  const pad = by + reach + 1
  const wide = 16 * (width + 2 * pad + 1)
  const [row, low, high] = [zeros(wide), zeros(wide), zeros(wide)]
  const span = takeBytes(16)
  const edges = disc.rows.map(({ edge }) => words(Float32Array.from(edge)))
  const shift = pad - by
  for (let y = 0; y < height; y++) {
    simd.discLoad(from + 16 * width * y, width, pad, row, low, high, span)
    const [start = 0, end = 0, bright = 0] = new Int32Array(memory.buffer, span, 3)
    if (start >= end) continue
    const first = start - shift - reach
    const count = end - shift + reach - first
    for (let k = 0; k <= reach; k++) {
      const { full, edge } = disc.rows[k]
      const above = to + line * (y + by - k) + 16 * first
      const below = k === 0 ? 0 : to + line * (y + by + k) + 16 * first
      const middle = first + shift
      simd.discRow(
        row,
        low,
        high,
        bright,
        middle,
        count,
        full,
        disc.weight,
        edges[k],
        edge.length,
        above,
        below,
      )
    }
  }
}

function zeros(bytes: number): number {
  const start = takeBytes(bytes)
  new Uint8Array(memory.buffer, start, bytes).fill(0)
  return start
}
