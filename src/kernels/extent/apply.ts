/**
 * Where a picture holds anything: the smallest region with every pixel that is not 0 in all four channels. NaN is something,
 * −0 is nothing. Rows are looked at from their ends inwards, only as far as the box found so far leaves open.
 */
import { EMPTY, type FloatImage, type Region } from '../../core/index.js'
import { at } from '../wasm/images.js'
import { simd } from '../wasm/module.js'

export function extentOf({ region, data }: FloatImage): Region {
  const { width, height } = region
  return at(data, false, (start) => {
    const row = (y: number) => start + 16 * width * y
    let top = 0
    while (top < height && simd.firstLit(row(top), width) === width) top++
    if (top === height) return EMPTY
    let bottom = height - 1
    while (simd.firstLit(row(bottom), width) === width) bottom--
    let left = width
    let right = -1
    for (let y = top; y <= bottom; y++) {
      left = simd.firstLit(row(y), left)
      const from = right + 1
      const last = simd.lastLit(row(y) + 16 * from, width - from)
      if (last >= 0) right = from + last
    }
    return { x: region.x + left, y: region.y + top, width: right - left + 1, height: bottom - top + 1 }
  })
}
