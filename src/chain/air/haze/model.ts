/**
 * Haze between the element and the camera.
 *
 *   I = J · t + A · (1 − t) · α      t = e^(−βd)      β = ln 50 / V
 *
 *   J  premultiplied light at the element   A  airlight   d  distance m   V  visibility m (2 % contrast)
 *
 * Its own light enters only where the element covers. Light that is only added is dimmed. Source: [koschmieder1924],
 * 2 % threshold: AMS Glossary of Meteorology.
 */
import { exp, type FloatImage, ln, POINTWISE, type Rgb } from '../../../core/index.js'
import { applyVeil } from '../../../kernels/index.js'

/** ln 50: the 2 % contrast threshold of visibility. */
const LN_50 = ln(50)

/** Extinction coefficient 1/m for a visibility in metres. */
export function extinction(visibilityM: number): number {
  return LN_50 / visibilityM
}

/** Share of light left after `distanceM`. */
export function transmittance(visibilityM: number, distanceM: number): number {
  return exp(-extinction(visibilityM) * distanceM)
}

/** Visibility in metres that leaves the share `t` of light after `distanceM`; infinite where nothing is lost. */
export function visibilityFor(t: number, distanceM: number): number {
  return t < 1 ? (-LN_50 * distanceM) / ln(t) : Number.POSITIVE_INFINITY
}

export const hazeReach = POINTWISE

/** In place on premultiplied light. */
export function applyHaze(image: FloatImage, t: Rgb, airlight: Rgb): void {
  if (t.every((v) => v === 1)) return
  applyVeil(image, t, [airlight[0] * (1 - t[0]), airlight[1] * (1 - t[1]), airlight[2] * (1 - t[2])])
}

/** What a hazed value was before the air: (I − A(1 − t)) / t. */
export function unhaze(value: Rgb, t: Rgb, airlight: Rgb): Rgb {
  const one = (c: 0 | 1 | 2) => (value[c] - airlight[c] * (1 - t[c])) / Math.max(t[c], 0.02)
  return [one(0), one(1), one(2)]
}
