/**
 * Alpha kinds: from a file's decoded code values to premultiplied linear light.
 *
 *   straight       C = decode(c′) · α
 *   premultiplied  C = decode(C′ / α) · α; where α = 0 the light is kept as it stands: a glow
 *   on-black       C = decode(c′); α of what shines is 0; of what covers, max(R, G, B): a bound, not a measurement
 *                  a person thickens it: α = 1 − (1 − max)^k, k times its optical depth −ln(1 − α)
 *   none           C = decode(c′), α = 1
 *
 * Alpha beyond 0 to 1 (float files hold such) is held to it: nothing covers more than all of the plate.
 *
 * Source: [porter1984]; on-black coverage: common practice.
 */
import { type FloatImage, POINTWISE, pow } from '../../../core/index.js'
import {
  alphaFromLight,
  applyCurve,
  byStrips,
  type CurveTable,
  holdAlpha,
  setAlpha,
  timesAlpha,
} from '../../../kernels/index.js'

export type AlphaKind = 'straight' | 'premultiplied' | 'on-black' | 'none'

export const alphaReach = POINTWISE

/**
 * In place: code-domain RGBA (alpha as stored) becomes premultiplied linear light.
 *
 * @param decode undefined where the file's codes are light as they stand
 */
export function toPremultiplied(image: FloatImage, kind: AlphaKind, decode: CurveTable | undefined): void {
  byStrips(image, (strip) => {
    if (kind === 'premultiplied') holdAlpha(strip, decode !== undefined)
    if (decode !== undefined) applyCurve(strip, decode)
    if (kind === 'straight') timesAlpha(strip, true)
    else if (kind !== 'premultiplied') setAlpha(strip, kind === 'none' ? 1 : 0)
    else if (decode !== undefined) timesAlpha(strip, false)
  })
}

/**
 * In place: on-black light of something that covers gets the least alpha that could have made it, or that of a thicker thing.
 * Over black it is the same picture still.
 *
 * @param depth how many times that alpha's optical depth, 0 and up
 */
export function coverFromLight(image: FloatImage, depth = 1): void {
  alphaFromLight(image)
  if (depth === 1) return
  const { data } = image
  for (let i = 3; i < data.length; i += 4) {
    const alpha = data[i] as number
    if (alpha > 0 && alpha < 1) data[i] = 1 - pow(1 - alpha, depth)
    else if (depth === 0) data[i] = 0
  }
}
