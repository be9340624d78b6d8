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
import { at, rawImage } from '../wasm/images.js'
import { duringScratch, takeBytes, words } from '../wasm/memory.js'
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
  const out = rawImage(grow(src.region, by))
  at(src.data, false, (from) => {
    at(out.data, true, (to) => duringScratch(() => spread(src, from, out, to, discKernel(radius), by)))
  })
  return out
}

/** Pixels of a strip, at least: wide, so that a row is read in one go, and with a few times the reach of a large disc. */
const STRIP = 2048

function spread(src: FloatImage, from: number, out: FloatImage, to: number, disc: Disc, by: number): void {
  const { width, height } = src.region
  const reach = disc.rows.length - 1
  const line = 16 * out.region.width
  const strip = STRIP + 4 * reach
  const room = takeBytes(16 * (3 * (strip + 2 * reach + 6) + (2 * reach + 1) * strip))
  const rows = disc.rows.flatMap(({ full, edge }) => [full, edge.length, words(Float32Array.from(edge)), 0])
  const table = words(Int32Array.from(rows))
  for (let x = 0; x < out.region.width; x += strip) {
    simd.discStrip(
      from,
      16 * width,
      width,
      height,
      x - by,
      to + 16 * x,
      line,
      Math.min(strip, out.region.width - x),
      by,
      table,
      reach,
      disc.weight,
      room,
    )
  }
}
