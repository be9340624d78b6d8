/**
 * Faint fine detail smeared, as cameras do that take it for noise:
 *
 *   Y′ = Y − H·T² / (T² + H²)        T = t·σ(level)
 *
 *   H  detail finer than 1.5 px      σ  of the plate's grain at that level, in code values      t  threshold, in σ
 *
 * Detail of a tenth of T is all gone, of T half, of three T nearly all there. The shape of a Wiener filter's gain, [wiener1949], with
 * the detail's own square for its power; the 1.5 px are a choice.
 */
import { type Both, detailOf } from '../detail.js'

export const SMEAR_RADIUS = 1.5

/** In place on luma with the layer. @param sigma of the grain, code values, one a pixel */
export function smear(luma: Both, kept: Float32Array, sigma: Float32Array, threshold: number): void {
  const detail = detailOf(luma, kept, SMEAR_RADIUS)
  const { after } = luma
  for (let p = 0; p < after.length; p++) {
    const h = detail[p] as number
    const t = threshold * (sigma[p] as number)
    if (t > 0) after[p] = (after[p] as number) - (h * t * t) / (t * t + h * h)
  }
}
