/** The light of a picture summed in plain TypeScript: what `simd.ts` must equal to the bit. */
import type { FloatImage } from '../../core/index.js'
import type { LightSums } from './apply.js'

/** See `apply.ts`. */
export function lightSums({ region, data }: FloatImage): LightSums {
  const total: [number, number, number] = [0, 0, 0]
  let [weight, x, y, yy] = [0, 0, 0, 0]
  for (let row = 0, i = 0; row < region.height; row++) {
    let sum = 0
    for (let column = 0; column < region.width; column++, i += 4) {
      for (let c = 0; c < 3; c++) total[c] += data[i + c]
      const light = data[i] + data[i + 1] + data[i + 2]
      if (!(light > 0)) continue
      sum += light
      x += light * (region.x + column + 0.5)
    }
    const middle = region.y + row + 0.5
    weight += sum
    y += sum * middle
    yy += sum * middle * middle
  }
  return { total, weight, x, y, yy }
}
