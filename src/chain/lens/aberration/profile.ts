/**
 * A published profile's lateral aberration, for the focal length and the picture at hand.
 *
 *   r_red = r·(v + c·r + b·r²)
 *
 * Between focal lengths v is a cubic Hermite course, c and b times the focal length are, as the terms of distortion (`distortion/profile.ts`);
 * radii count as there. Source: [lensfun-db] (library 0.3.3; interpolation and units).
 */
import { atFocal } from '../distortion/profile.js'
import type { Aberration } from './model.js'

export interface MeasuredAberration {
  readonly focalLengthMm: number
  /** v of red and blue, then c, then b. */
  readonly terms: Aberration
}

/** In the profile's own unit. @param measured ascending focal lengths, one at least */
export function aberrationFor(measured: readonly MeasuredAberration[], f: number): Aberration {
  const terms = atFocal(measured, f, (k) => k >= 2)
  return terms as unknown as Aberration
}

/** The same where 1 is another radius. @param s that radius in the old unit */
export function aberrationInUnit([vr, vb, cr, cb, br, bb]: Aberration, s: number): Aberration {
  return [vr, vb, cr * s, cb * s, br * s * s, bb * s * s]
}
