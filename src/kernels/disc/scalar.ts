/**
 * Blur by a disc of confusion: every pixel becomes the mean over the disc around it (`kernel.ts` for the weights).
 *
 * Cost grows with the radius, not with its square: the wholly covered run of each kernel row is a difference of two
 * prefix sums, and a row of sums serves the picture rows above and below alike. Outside the source is 0; NaN and
 * infinity count as 0, so they never spread; magnitudes above 65504 (the largest half float) count as that.
 *
 * Values are first rounded to 2⁻²⁴, which makes every prefix sum exact in float64: the same bits come out whatever
 * part of the picture is given, and a bright pixel leaves no rounding dust along its row.
 *
 * Source: [potmesil1981]; prefix sums [crow1984].
 */
import { emptyImage, type FloatImage, grow, isEmpty } from '../../core/index.js'
import { discKernel } from './kernel.js'

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
  const line = 4 * out.region.width
  const pad = 4 * (by + reach + 1)
  const row = new Float64Array(4 * width + 2 * pad)
  const prefix = new Float64Array(row.length + 4)
  const sums = new Float64Array(line)
  const ring = Array.from({ length: 2 * reach + 1 }, () => new Float64Array(line))
  for (let y = 0; y < height + reach; y++) {
    if (y < height && load(src.data, 4 * width * y, 4 * width, pad, row, prefix)) {
      for (let k = 0; k <= reach; k++) {
        kernelRow(row, prefix, pad - 4 * by, disc.rows[k].full, disc.rows[k].edge, disc.weight, sums)
        addTo(ring[(y + reach - k) % ring.length], sums)
        if (k > 0) addTo(ring[(y + reach + k) % ring.length], sums)
      }
    }
    const done = ring[y % ring.length]
    const to = (y - reach + by) * line
    for (let i = 0; i < line; i++) out.data[to + i] = done[i]
    done.fill(0)
  }
  return out
}

/** A source row with zeros around it, and its prefix sums per channel; false when there is nothing in it. */
function load(
  data: Float32Array,
  start: number,
  count: number,
  pad: number,
  row: Float64Array,
  prefix: Float64Array,
): boolean {
  let any = false
  for (let i = 0; i < count; i++) {
    const v = data[start + i]
    const held = v - v === 0 ? Math.min(Math.max(v, -LIMIT), LIMIT) : 0
    const rounded = held + ROUND - ROUND
    if (rounded !== 0) any = true
    row[pad + i] = rounded
  }
  if (!any) return false
  for (let i = pad; i < row.length; i++) prefix[i + 4] = prefix[i] + row[i]
  return true
}

/** One kernel row over the whole line; `shift` is where the line's first pixel lies in `row`. */
function kernelRow(
  row: Float64Array,
  prefix: Float64Array,
  shift: number,
  full: number,
  edge: readonly number[],
  weight: number,
  sums: Float64Array,
): void {
  const right = shift + 4 * (full + 1)
  const left = shift - 4 * full
  let next = 0
  if (full < 0) {
    for (let i = 0; i < sums.length; i++) sums[i] = edge[0] * row[shift + i]
    next = 1
  } else if (edge.length > 0) {
    const w = edge[0]
    for (let i = 0; i < sums.length; i++) {
      sums[i] = weight * (prefix[right + i] - prefix[left + i]) + w * (row[right + i] + row[left - 4 + i])
    }
    next = 1
  } else {
    for (let i = 0; i < sums.length; i++) sums[i] = weight * (prefix[right + i] - prefix[left + i])
  }
  for (let e = next; e < edge.length; e++) {
    const w = edge[e]
    const reach = 4 * (full + 1 + e)
    for (let i = 0; i < sums.length; i++) sums[i] += w * (row[shift + reach + i] + row[shift - reach + i])
  }
}

function addTo(line: Float64Array, sums: Float64Array): void {
  for (let i = 0; i < line.length; i++) line[i] += sums[i]
}
