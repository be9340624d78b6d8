/** The extent of a picture in plain TypeScript: what `simd.ts` must agree with. */
import { EMPTY, type FloatImage, type Region } from '../../core/index.js'

/** See `apply.ts`. */
export function extentOf({ region, data }: FloatImage): Region {
  const { width, height } = region
  let [x0, y0, x1, y1] = [width, height, -1, -1]
  for (let y = 0, i = 0; y < height; y++) {
    for (let x = 0; x < width; x++, i += 4) {
      if (data[i] === 0 && data[i + 1] === 0 && data[i + 2] === 0 && data[i + 3] === 0) continue
      x0 = Math.min(x0, x)
      x1 = Math.max(x1, x)
      y0 = Math.min(y0, y)
      y1 = y
    }
  }
  if (y1 < 0) return EMPTY
  return { x: region.x + x0, y: region.y + y0, width: x1 - x0 + 1, height: y1 - y0 + 1 }
}
