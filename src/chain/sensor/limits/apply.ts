/**
 * Sensor limits: each channel ends at its own level, which makes the path by which a hot colour goes to white.
 *
 *   v = min(max(v, min(floor, own)), max(clip, own))
 *
 *   own  the plate's light at that pixel before anything was laid over it: what it held beyond a limit (a codec's ringing) stays
 *
 * After the grain: a full pixel has no noise. Source: [emva1288] (saturation of a linear sensor).
 */
import type { FloatImage, Rgb } from '../../../core/index.js'

export interface Limits {
  /** Infinity ends nowhere. */
  readonly clip: Rgb
  /** −Infinity likewise. */
  readonly floor: Rgb
}

/** In place on linear light, where it was touched. @param own the plate's light of the same region */
export function holdToLimits(
  { data }: FloatImage,
  own: FloatImage,
  touched: Uint8Array,
  { clip, floor }: Limits,
): void {
  for (let p = 0, i = 0; p < touched.length; p++, i += 4) {
    if (touched[p] === 0) continue
    for (const c of [0, 1, 2] as const) {
      const before = own.data[i + c] as number
      const most = Math.max(clip[c], before)
      const least = Math.min(floor[c], before)
      const v = data[i + c] as number
      if (v > most) data[i + c] = most
      else if (v < least) data[i + c] = least
    }
  }
}
