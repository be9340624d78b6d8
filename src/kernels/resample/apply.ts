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
 * held to 0…1. Two passes, across then down, in single precision. An output pixel depends on its place and the source alone, so any
 * region equals the same part of the whole, bit for bit.
 *
 * Source: [keys1981], [mitchell1988].
 * @throws Problem `kernels.bad-scale` unless both scales are above 0
 */
import { type FloatImage, isEmpty, type Region } from '../../core/index.js'
import { at, newImage } from '../wasm/images.js'
import { duringScratch, takeBytes, words } from '../wasm/memory.js'
import { simd } from '../wasm/module.js'
import { checkScale, type Placement } from './place.js'
import { type AxisTaps, axisTaps } from './taps.js'

/** The part of the placed picture in `region`; `src.region` says which part of the source file `src` holds. */
export function resample(src: FloatImage, map: Placement, region: Region): FloatImage {
  checkScale(map)
  const out = newImage(region)
  if (isEmpty(region) || isEmpty(src.region)) return out
  const across = axisTaps(region.x, region.width, map.scaleX, map.originX, src.region.x, src.region.width)
  const down = axisTaps(region.y, region.height, map.scaleY, map.originY, src.region.y, src.region.height)
  if (down.low >= down.high || across.low >= across.high) return out
  at(src.data, false, (from) => {
    at(out.data, true, (to) =>
      duringScratch(() => passes(from, 16 * src.region.width, across, down, to, region)),
    )
  })
  return out
}

function passes(from: number, line: number, across: AxisTaps, down: AxisTaps, to: number, r: Region): void {
  const count = down.high - down.low
  const rows = takeBytes(16 * r.width * count)
  const first = words(across.first)
  const taps = words(across.count)
  const weight = words(across.weight)
  const { n } = across
  for (let y = 0; y < count; y++) {
    const row = from + line * (y + down.low)
    simd.resampleAcross(row, first, taps, weight, n, r.width, rows + 16 * r.width * y)
  }
  const weights = words(down.weight)
  for (let y = 0; y < r.height; y++) {
    const source = rows + 16 * r.width * (down.first[y] - down.low)
    const w = weights + 4 * down.n * y
    simd.resampleDown(source, 16 * r.width, w, down.count[y], r.width, to + 16 * r.width * y)
  }
}
