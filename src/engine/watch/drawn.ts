/** An element's own picture as the chain puts it into the plate, in light: what the finished file is held against. */
import type { NativeFrame } from '../../core/index.js'
import { lumaOf } from '../track/luma.js'
import type { Anchor } from './anchor.js'
import type { Draw } from './inFile.js'

/** Samples along a side of a plate pixel, at most, where the element is drawn smaller than it is. */
const SAMPLES = 2

/** Undefined where it does not show. @param light of a sample of its lightness */
export function drawnIn(
  anchor: Anchor,
  frame: number,
  picture: NativeFrame,
  light: (sample: number) => number,
): Draw | undefined {
  const own = anchor.ownAt(frame)
  if (own === undefined) return undefined
  const { width, height, layout, planes } = picture
  const { data } = lumaOf(picture)
  const kind = anchor.element.alpha
  const covers = kind === 'straight' || kind === 'premultiplied' ? planes[3]?.data : undefined
  const top = layout.float ? 1 : 2 ** layout.bits - 1
  const whole = kind === 'on-black' ? 0 : 1
  const larger = Math.max(width, height) / Math.max(anchor.size(frame), 1)
  const side = Math.min(Math.max(Math.round(larger), 1), SAMPLES)
  const share = 1 / (side * side)
  return (x, y, out) => {
    out.light = 0
    out.alpha = 0
    for (let k = 0; k < side * side; k++) {
      const [u, v] = own(x + ((k % side) + 0.5) / side - 0.5, y + (Math.floor(k / side) + 0.5) / side - 0.5)
      const [i, j] = [Math.floor(u - 0.5), Math.floor(v - 0.5)]
      // Outside of the picture there is nothing; NaN is nowhere.
      if (!(i >= -1 && j >= -1 && i < width && j < height)) continue
      const [s, t] = [u - 0.5 - i, v - 0.5 - j]
      for (let n = 0; n < 4; n++) {
        const [a, b] = [i + (n & 1), j + (n >> 1)]
        if (a < 0 || b < 0 || a >= width || b >= height) continue
        const weight = share * (n & 1 ? s : 1 - s) * (n >> 1 ? t : 1 - t)
        const p = b * width + a
        const alpha = covers === undefined ? whole : (covers[p] as number) / top
        const own = light(data[p] as number)
        out.light += weight * (kind === 'straight' ? alpha * own : own)
        out.alpha += weight * alpha
      }
    }
  }
}
