/**
 * Alpha kinds: from a file's decoded code values to premultiplied linear light.
 *
 *   straight       C = decode(c′) · α
 *   premultiplied  C = decode(C′ / α) · α; where α = 0 the light is kept as it stands: a glow
 *   on-black       C = decode(c′); α of what shines is 0; of what covers, max(R, G, B): a bound, not a measurement
 *   none           C = decode(c′), α = 1
 *
 * Alpha beyond 0 to 1 (float files hold such) is held to it: nothing covers more than all of the plate.
 *
 * Source: [porter1984]; on-black coverage: common practice.
 */
import { type FloatImage, POINTWISE } from '../../../core/index.js'
import { applyCurve, type CurveTable } from '../../../kernels/index.js'

export type AlphaKind = 'straight' | 'premultiplied' | 'on-black' | 'none'

export const alphaReach = POINTWISE

/**
 * In place: code-domain RGBA (alpha as stored) becomes premultiplied linear light.
 *
 * @param decode undefined where the file's codes are light as they stand
 */
export function toPremultiplied(image: FloatImage, kind: AlphaKind, decode: CurveTable | undefined): void {
  const d = image.data
  for (let i = 3; i < d.length; i += 4) d[i] = Math.min(Math.max(d[i] as number, 0), 1)
  if (kind === 'premultiplied' && decode === undefined) return
  if (kind === 'premultiplied') divideByAlpha(d)
  if (decode !== undefined) applyCurve(image, decode)
  for (let i = 0; i < d.length; i += 4) {
    const a = d[i + 3] as number
    if (kind === 'straight' || (kind === 'premultiplied' && a > 0)) {
      d[i] = (d[i] as number) * a
      d[i + 1] = (d[i + 1] as number) * a
      d[i + 2] = (d[i + 2] as number) * a
    } else if (kind === 'none') {
      d[i + 3] = 1
    } else if (kind === 'on-black') {
      d[i + 3] = 0
    }
  }
}

function divideByAlpha(d: Float32Array): void {
  for (let i = 0; i < d.length; i += 4) {
    const a = d[i + 3] as number
    if (a <= 0) continue
    d[i] = (d[i] as number) / a
    d[i + 1] = (d[i + 1] as number) / a
    d[i + 2] = (d[i + 2] as number) / a
  }
}

/** In place: on-black light of something that covers gets the least alpha that could have made it. */
export function coverFromLight(image: FloatImage): void {
  const d = image.data
  for (let i = 0; i < d.length; i += 4) {
    const most = Math.max(d[i] as number, d[i + 1] as number, d[i + 2] as number)
    d[i + 3] = Math.min(Math.max(most, 0), 1)
  }
}
