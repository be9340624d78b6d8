/**
 * All the light of a picture, and where it lies: sums in double precision over pixels' middles in frame coordinates.
 *
 *   total = Σ C      weight = Σ l      x = Σ l·x      y = Σ l·y      yy = Σ l·y²      l = max(R + G + B, 0)
 */
import type { FloatImage, Rgb } from '../../core/index.js'
import { at } from '../wasm/images.js'
import { duringScratch, memory, takeBytes } from '../wasm/memory.js'
import { simd } from '../wasm/module.js'

export interface LightSums {
  readonly total: Rgb
  readonly weight: number
  readonly x: number
  readonly y: number
  readonly yy: number
}

export function lightSums({ region, data }: FloatImage): LightSums {
  return at(data, false, (address) =>
    duringScratch(() => {
      const start = takeBytes(40)
      const sums = new Float64Array(memory.buffer, start, 5).fill(0)
      let [weight, y, yy] = [0, 0, 0]
      for (let row = 0; row < region.height; row++) {
        simd.lightRow(address + 16 * row * region.width, region.width, region.x + 0.5, start)
        const middle = region.y + row + 0.5
        weight += sums[4]
        y += sums[4] * middle
        yy += sums[4] * middle * middle
      }
      return { total: [sums[0], sums[1], sums[2]], weight, x: sums[3], y, yy }
    }),
  )
}
