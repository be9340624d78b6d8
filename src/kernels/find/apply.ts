/** Rare values of a picture, found at the speed of memory; what is done with them is done one by one. */
import type { FloatImage } from '../../core/index.js'
import { at } from '../wasm/images.js'
import { simd } from '../wasm/module.js'

/** Places in `data` that hold NaN or infinity, ascending. */
export function notFinite(data: Float32Array): number[] {
  const found: number[] = []
  at(data, false, (address) => {
    const next = (i: number) => simd.nextNotFinite(address, i, data.length)
    for (let i = next(0); i < data.length; i = next(i + 1)) found.push(i)
  })
  return found
}

/**
 * Calls `visit` with the place in `data` of each pixel of which a colour lies above `limit` (in single precision) or is NaN,
 * in order. It may write to that pixel.
 */
export function eachAbove({ data }: FloatImage, limit: number, visit: (place: number) => void): void {
  const pixels = data.length >> 2
  at(data, false, (address) => {
    const next = (p: number) => simd.nextAbove(address, p, pixels, limit)
    for (let p = next(0); p < pixels; p = next(p + 1)) visit(4 * p)
  })
}
