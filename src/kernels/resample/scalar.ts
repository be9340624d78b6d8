/**
 * A picture placed in another at any scale and sub-pixel offset.
 *
 *   source position of output pixel x:  u = (x + ½ − originX) / scaleX,  pixel edges at whole numbers
 *   value = Σ k((i + ½ − u)/s) · source(i) / Σ k,  s = max(1, 1/scale)
 *
 *   k  Catmull-Rom cubic (B = 0, C = ½): reproduces the source where it is only moved by whole pixels; stretched by
 *      s when shrinking, so that every source pixel counts
 *
 * Outside the source is transparent black. The cubic's undershoot would ring around bright premultiplied edges: a
 * result below 0 is raised to 0, or to the lowest source value under the filter where that is negative; alpha is
 * held to 0…1. Two passes, across then down. An output pixel depends on its place and the source alone, so any
 * region equals the same part of the whole, bit for bit.
 *
 * Source: [keys1981], [mitchell1988].
 * @throws Problem `kernels.bad-scale` unless both scales are above 0
 */
import { EMPTY, emptyImage, type FloatImage, isEmpty, Problem, type Region } from '../../core/index.js'
import { type AxisTaps, axisTaps, supportOf } from './taps.js'

/** Where a picture lies in another: output position = origin + scale · source position. */
export interface Placement {
  readonly scaleX: number
  readonly scaleY: number
  readonly originX: number
  readonly originY: number
}

/** Every output pixel whose filter reaches a pixel of a source of this size. */
export function placedRegion(srcWidth: number, srcHeight: number, map: Placement): Region {
  checkScale(map)
  if (srcWidth <= 0 || srcHeight <= 0) return EMPTY
  const [x, right] = span(srcWidth, map.scaleX, map.originX)
  const [y, bottom] = span(srcHeight, map.scaleY, map.originY)
  return { x, y, width: right - x, height: bottom - y }
}

function span(size: number, scale: number, origin: number): [number, number] {
  const reach = supportOf(scale) - 0.5
  const low = origin - reach * scale
  const high = origin + (size + reach) * scale
  return [Math.floor(low - 0.5) + 1, Math.ceil(high - 0.5)]
}

/** The part of the placed picture in `region`; `src.region` says which part of the source file `src` holds. */
export function resample(src: FloatImage, map: Placement, region: Region): FloatImage {
  checkScale(map)
  const out = emptyImage(region)
  if (isEmpty(region) || isEmpty(src.region)) return out
  const across = axisTaps(region.x, region.width, map.scaleX, map.originX, src.region.x, src.region.width)
  const down = axisTaps(region.y, region.height, map.scaleY, map.originY, src.region.y, src.region.height)
  if (down.low >= down.high || across.low >= across.high) return out
  const rows = new Float32Array(4 * region.width * (down.high - down.low))
  for (let y = down.low; y < down.high; y++) {
    acrossRow(src.data, 4 * y * src.region.width, across, rows, 4 * (y - down.low) * region.width)
  }
  const sum = new Float64Array(4 * region.width)
  for (let y = 0; y < region.height; y++) downRow(rows, down, y, sum, out.data)
  return out
}

function acrossRow(data: Float32Array, start: number, taps: AxisTaps, out: Float32Array, to: number): void {
  const { first, count, weight, n } = taps
  for (let x = 0, o = to; x < first.length; x++, o += 4) {
    let r = 0
    let g = 0
    let b = 0
    let a = 0
    const end = x * n + count[x]
    for (let t = x * n, i = start + 4 * first[x]; t < end; t++, i += 4) {
      const w = weight[t]
      r += w * data[i]
      g += w * data[i + 1]
      b += w * data[i + 2]
      a += w * data[i + 3]
    }
    const from = start + 4 * first[x]
    out[o] = r < 0 ? raised(r, data, from, 4, count[x]) : r
    out[o + 1] = g < 0 ? raised(g, data, from + 1, 4, count[x]) : g
    out[o + 2] = b < 0 ? raised(b, data, from + 2, 4, count[x]) : b
    out[o + 3] = Math.min(Math.max(a, 0), 1)
  }
}

function downRow(rows: Float32Array, taps: AxisTaps, y: number, sum: Float64Array, out: Float32Array): void {
  const length = sum.length
  sum.fill(0)
  const from = (taps.first[y] - taps.low) * length
  const count = taps.count[y]
  const at = y * taps.n
  let k = 0
  for (; k + 3 < count; k += 4) {
    const [w0, w1, w2, w3] = taps.weight.subarray(at + k, at + k + 4)
    const r0 = from + k * length
    const r1 = r0 + length
    const r2 = r1 + length
    const r3 = r2 + length
    for (let i = 0; i < length; i++) {
      sum[i] = sum[i] + w0 * rows[r0 + i] + w1 * rows[r1 + i] + w2 * rows[r2 + i] + w3 * rows[r3 + i]
    }
  }
  for (; k < count; k++) {
    const w = taps.weight[at + k]
    const r = from + k * length
    for (let i = 0; i < length; i++) sum[i] += w * rows[r + i]
  }
  const to = y * length
  for (let i = 0; i < length; i++) {
    const v = sum[i]
    out[to + i] = v < 0 ? raised(v, rows, from + i, length, taps.count[y]) : v
  }
  for (let i = to + 3; i < to + length; i += 4) out[i] = Math.min(out[i], 1)
}

/** A negative result: no lower than the lowest source value under the filter, and 0 where none is negative. */
function raised(value: number, data: Float32Array, from: number, stride: number, count: number): number {
  let least = 0
  for (let k = 0, i = from; k < count; k++, i += stride) least = Math.min(least, data[i])
  return Math.max(value, least)
}

function checkScale(map: Placement): void {
  if (map.scaleX > 0 && map.scaleY > 0) return
  throw new Problem({
    code: 'kernels.bad-scale',
    what: 'A picture cannot be placed at this scale',
    expected: 'both scales above 0',
    received: `${map.scaleX}, ${map.scaleY}`,
  })
}
