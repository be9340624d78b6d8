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
import { at, newImage, rawImage } from '../wasm/images.js'
import { duringScratch, memory, takeBytes, words } from '../wasm/memory.js'
import { simd } from '../wasm/module.js'
import { checkScale, type Placement } from './place.js'
import { type AxisTaps, axisTaps } from './taps.js'

/** The part of the placed picture in `region`; `src.region` says which part of the source file `src` holds. */
export function resample(src: FloatImage, map: Placement, region: Region): FloatImage {
  checkScale(map)
  if (isEmpty(region) || isEmpty(src.region)) return newImage(region)
  const across = axisTaps(region.x, region.width, map.scaleX, map.originX, src.region.x, src.region.width)
  const down = axisTaps(region.y, region.height, map.scaleY, map.originY, src.region.y, src.region.height)
  return filtered(src, across, down, region)
}

/** `src` through the taps of both axes, onto `region`; the bounds told above are kept. */
export function filtered(src: FloatImage, across: AxisTaps, down: AxisTaps, region: Region): FloatImage {
  if (down.low >= down.high || across.low >= across.high) return newImage(region)
  const out = rawImage(region)
  at(src.data, false, (from) => {
    at(out.data, true, (to) =>
      duringScratch(() => passes(from, 16 * src.region.width, across, down, to, region)),
    )
  })
  return out
}

/** Rows filtered across are made when a row first looks at them, and kept in a ring as long as any does. */
function passes(from: number, line: number, across: AxisTaps, down: AxisTaps, to: number, r: Region): void {
  const stride = 16 * r.width
  const first = words(across.first)
  const taps = words(across.count)
  const weight = words(across.weight)
  const weights = words(down.weight)
  const ring = takeBytes(stride * down.n)
  const rows = takeBytes(4 * down.n)
  const addresses = new Uint32Array(memory.buffer, rows, down.n)
  const held = new Int32Array(down.n).fill(-1)
  for (let y = 0; y < r.height; y++) {
    const count = down.count[y]
    for (let k = 0; k < count; k++) {
      const row = down.first[y] + k
      const slot = row % down.n
      addresses[k] = ring + stride * slot
      if (held[slot] === row) continue
      held[slot] = row
      simd.resampleAcross(from + line * row, first, taps, weight, across.n, r.width, addresses[k])
    }
    simd.resampleDown(rows, weights + 4 * down.n * y, count, r.width, to + stride * y)
  }
}
