import type { FloatImage, Rgb } from '../../../core/index.js'
import { channelMatch, type Points } from './model.js'

/** Most that an element's own colour may depart from its luminance: deep blacks have no colour to speak of. */
const RICHEST = 4

/**
 * In place: straight colour of a premultiplied picture goes through the match; where alpha is 0 nothing is changed.
 *
 * @param luminance given for what keeps its own colour (blood is red in any light): its luminance goes through the curves,
 * which bring the plate's light, and its colour comes back as its ratio to that luminance
 */
export function applyMatch(image: FloatImage, from: Points, to: Points, luminance?: Rgb): void {
  const curves = [channelMatch(from, to, 0), channelMatch(from, to, 1), channelMatch(from, to, 2)] as const
  const d = image.data
  for (let i = 0; i < d.length; i += 4) {
    const alpha = d[i + 3] as number
    if (alpha <= 0) continue
    if (luminance === undefined) {
      for (const c of [0, 1, 2] as const) d[i + c] = curves[c]((d[i + c] as number) / alpha) * alpha
      continue
    }
    const y =
      luminance[0] * (d[i] as number) +
      luminance[1] * (d[i + 1] as number) +
      luminance[2] * (d[i + 2] as number)
    for (const c of [0, 1, 2] as const) {
      const ratio = y > 1e-6 ? Math.min(Math.max((d[i + c] as number) / y, 0), RICHEST) : 1
      d[i + c] = curves[c](y / alpha) * ratio * alpha
    }
  }
}
