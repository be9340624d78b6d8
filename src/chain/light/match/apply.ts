import type { FloatImage } from '../../../core/index.js'
import { channelMatch, type Points } from './model.js'

/** In place: straight colour of a premultiplied picture goes through the match; where alpha is 0 nothing is changed. */
export function applyMatch(image: FloatImage, from: Points, to: Points): void {
  const d = image.data
  for (const c of [0, 1, 2] as const) {
    const curve = channelMatch(from, to, c)
    for (let i = c, a = 3; a < d.length; i += 4, a += 4) {
      const alpha = d[a] as number
      if (alpha > 0) d[i] = curve((d[i] as number) / alpha) * alpha
    }
  }
}
