/**
 * Blur by a disc of confusion: every pixel becomes the mean over the disc around it (`kernel.ts` for the weights).
 *
 * Cost grows with the radius, not with its square: the wholly covered run of each kernel row is a difference of two
 * prefix sums, and a row of sums serves the picture rows above and below alike. Empty parts of rows are skipped. Outside the source is 0; NaN and
 * infinity count as 0, so they never spread; magnitudes above 65504 (the largest half float) count as that.
 *
 * Values are first rounded to 2⁻²⁴, which makes every prefix sum exact in float64: the same bits come out whatever
 * part of the picture is given, and a bright pixel leaves no rounding dust along its row.
 *
 * Source: [potmesil1981]; prefix sums [crow1984].
 */
import { emptyImage, type FloatImage, grow, isEmpty } from '../../core/index.js'
import { type DiscRow, discKernel } from './kernel.js'

/** Below this the disc lies almost wholly inside its own pixel. */
const SHARP = 0.3
const LIMIT = 65504
/** Adding and taking away 1.5·2²⁸ rounds a float64 to a multiple of 2⁻²⁴. */
const ROUND = 1.5 * 2 ** 28

/**
 * The blurred picture on the source's region grown by ceil(radius) + 1; the source itself below a radius of 0.3.
 * `radius` in pixels, 0 to 256.
 */
export function discBlur(src: FloatImage, radius: number): FloatImage {
  if (!(radius >= SHARP) || isEmpty(src.region)) return src
  const { width, height } = src.region
  const by = Math.ceil(radius) + 1
  const disc = discKernel(radius)
  const reach = disc.rows.length - 1
  const out = emptyImage(grow(src.region, by))
  const length = 4 * out.region.width
  const shift = 4 * (reach + 1) // of the output's first pixel in the padded row
  const pad = shift + 4 * by
  const row = new Float64Array(4 * width + 2 * pad)
  const prefix = new Float64Array(row.length + 4)
  const ring = Array.from({ length: 2 * reach + 1 }, () => new Float64Array(length))
  const spare = new Float64Array(length)
  for (let y = 0; y < height + 2 * reach; y++) {
    const span = y < height ? load(src.data, 4 * width * y, 4 * width, pad, row, prefix) : NOTHING
    if (span.low < span.high) {
      const low = span.low - shift - 4 * reach
      const high = span.high - shift + 4 * reach
      for (let k = 0; k <= reach; k++) {
        const above = ring[(y + reach - k) % ring.length]
        const below = k === 0 ? spare : ring[(y + reach + k) % ring.length]
        spreadRow(row, prefix, shift, disc.rows[k], disc.weight, low, high, above, below)
      }
    }
    const done = ring[y % ring.length]
    const to = (y - reach + by) * length
    for (let i = 0; i < length; i++) out.data[to + i] = done[i]
    done.fill(0)
  }
  return out
}

interface Span {
  readonly low: number
  readonly high: number
}

const NOTHING: Span = { low: 0, high: 0 }

/** A source row between zeros, its prefix sums per channel, and the part of it that holds anything. */
function load(
  data: Float32Array,
  start: number,
  count: number,
  pad: number,
  row: Float64Array,
  prefix: Float64Array,
): Span {
  let low = -1
  let high = 0
  for (let i = 0; i < count; i++) {
    const v = data[start + i]
    const held = v - v === 0 ? Math.min(Math.max(v, -LIMIT), LIMIT) : 0
    const rounded = held + ROUND - ROUND
    row[pad + i] = rounded
    if (rounded !== 0) {
      if (low < 0) low = pad + (i & ~3)
      high = pad + (i & ~3) + 4
    }
  }
  if (low < 0) return NOTHING
  for (let i = pad; i < row.length; i++) prefix[i + 4] = prefix[i] + row[i]
  return { low, high }
}

/** One kernel row, added to the output rows above and below, from `low` to `high`; `shift` is the output's start in `row`. */
function spreadRow(
  row: Float64Array,
  prefix: Float64Array,
  shift: number,
  { full, edge }: DiscRow,
  weight: number,
  low: number,
  high: number,
  above: Float64Array,
  below: Float64Array,
): void {
  const w0 = edge.length > 0 ? edge[0] : 0
  const r0 = shift + 4 * (full + 1)
  const l0 = shift - 4 * full
  let next = 1
  if (full < 0) {
    for (let i = low; i < high; i++) {
      const v = w0 * row[shift + i]
      above[i] += v
      below[i] += v
    }
  } else if (edge.length === 2) {
    const w1 = edge[1]
    for (let i = low; i < high; i++) {
      const v =
        weight * (prefix[r0 + i] - prefix[l0 + i]) +
        w0 * (row[r0 + i] + row[l0 - 4 + i]) +
        w1 * (row[r0 + 4 + i] + row[l0 - 8 + i])
      above[i] += v
      below[i] += v
    }
    next = 2
  } else {
    for (let i = low; i < high; i++) {
      const v = weight * (prefix[r0 + i] - prefix[l0 + i]) + w0 * (row[r0 + i] + row[l0 - 4 + i])
      above[i] += v
      below[i] += v
    }
  }
  for (let e = next; e < edge.length; e++) {
    const w = edge[e]
    const reach = 4 * (full + 1 + e)
    const right = shift + reach
    const left = shift - reach
    for (let i = low; i < high; i++) {
      const v = w * (row[right + i] + row[left + i])
      above[i] += v
      below[i] += v
    }
  }
}
