/** The placing of a picture in plain TypeScript: what `simd.ts` must equal to the bit. */
import { emptyImage, type FloatImage, type Region } from '../../core/index.js'
import type { Placement } from './place.js'
import { type AxisTaps, axisTaps } from './taps.js'

const { fround } = Math

/** See `apply.ts`. */
export function resample(src: FloatImage, map: Placement, region: Region): FloatImage {
  const across = axisTaps(region.x, region.width, map.scaleX, map.originX, src.region.x, src.region.width)
  const down = axisTaps(region.y, region.height, map.scaleY, map.originY, src.region.y, src.region.height)
  return filtered(src, across, down, region)
}

/** See `apply.ts`. */
export function filtered(src: FloatImage, across: AxisTaps, down: AxisTaps, region: Region): FloatImage {
  const out = emptyImage(region)
  if (down.low >= down.high || across.low >= across.high) return out
  const rows = new Float32Array(4 * region.width * (down.high - down.low))
  const line = 4 * src.region.width
  for (let y = down.low; y < down.high; y++) {
    const to = 4 * region.width * (y - down.low)
    for (let x = 0; x < region.width; x++) {
      pixel(src.data, line * y + 4 * across.first[x], 4, across, x, rows, to + 4 * x)
    }
  }
  for (let y = 0; y < region.height; y++) {
    const from = 4 * region.width * (down.first[y] - down.low)
    for (let x = 0; x < region.width; x++) {
      const to = 4 * (region.width * y + x)
      pixel(rows, from + 4 * x, 4 * region.width, down, y, out.data, to)
    }
  }
  return out
}

/** One pixel: `count` source pixels from `from` on, `stride` apart. */
function pixel(
  data: Float32Array,
  from: number,
  stride: number,
  { n, count, weight }: AxisTaps,
  tap: number,
  out: Float32Array,
  to: number,
): void {
  for (let c = 0; c < 4; c++) {
    let sum = 0
    let least = 0
    for (let k = 0, i = from + c; k < count[tap]; k++, i += stride) {
      sum = fround(sum + fround(weight[n * tap + k] * data[i]))
      if (data[i] < least) least = data[i]
    }
    // Comparisons, as one instruction makes them: NaN and −0 of the sum stay.
    let raised = sum
    if (raised < least) raised = least
    if (c === 3 && raised > 1) raised = 1
    if (c === 3 && raised < 0) raised = 0
    out[to + c] = raised
  }
}
