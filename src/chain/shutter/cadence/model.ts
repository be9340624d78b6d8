/**
 * Cadence: which frame of an element shows on which frame of the shot.
 *
 *   k = trim + round((n − start) · Fe / Fp)      exact in fractions; a half goes up
 *
 * Nearest frame, no blending: a blend of two frames is a picture that no shutter took.
 */
export interface Cadence {
  readonly startFrame: number
  readonly trimFrames: number
  /** Frames a second, as fractions. */
  readonly element: { readonly num: number; readonly den: number }
  readonly plate: { readonly num: number; readonly den: number }
  /** Frames that the element's file holds. */
  readonly count: number
}

/** Element frame for shot frame `n`, or undefined before its start and after its end. */
export function elementFrame(c: Cadence, n: number): number | undefined {
  if (n < c.startFrame) return undefined
  const num = BigInt(c.element.num) * BigInt(c.plate.den)
  const den = BigInt(c.element.den) * BigInt(c.plate.num)
  const k = c.trimFrames + Number((2n * BigInt(n - c.startFrame) * num + den) / (2n * den))
  return k < c.count ? k : undefined
}
