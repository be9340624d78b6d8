/**
 * Cadence: which picture of an element shows on which frame of the shot.
 *
 *   k = trim + round((n − start) · speed · Fe / Fp)      exact in fractions; a half goes up
 *
 * Nearest picture, no blending: a blend of two is a picture that no shutter took. Where a round of a loop crosses over into the
 * next, two are seen, and there alone (`loop.ts`).
 */
import { type Loop, loopPictures, type Shown } from './loop.js'

export interface Cadence {
  readonly startFrame: number
  readonly trimFrames: number
  /** Frames a second, as fractions. */
  readonly element: { readonly num: number; readonly den: number }
  readonly plate: { readonly num: number; readonly den: number }
  /** Frames that the element's file holds. */
  readonly count: number
  /** 1 when absent; counts in millionths. */
  readonly speed?: number | undefined
  readonly hold?: 'first' | 'last' | 'both' | 'none' | undefined
  readonly loop?: Loop | undefined
}

/** What shows on shot frame `n`; undefined before its start and after its end. */
export function shownPictures(c: Cadence, n: number): Shown | undefined {
  const before = n < c.startFrame
  if (before && c.hold !== 'first' && c.hold !== 'both') return undefined
  const k = before ? c.trimFrames : c.trimFrames + elapsed(c, n - c.startFrame)
  if (c.loop !== undefined) return loopPictures(c.loop, k, c.trimFrames)
  if (k < c.count) return { frame: k }
  return c.hold === 'last' || c.hold === 'both' ? { frame: c.count - 1 } : undefined
}

/** The picture that shows on shot frame `n`: of two, the one that goes. */
export function elementFrame(c: Cadence, n: number): number | undefined {
  return shownPictures(c, n)?.frame
}

/** The first frame of the shot on which it can show. */
export function firstShown(c: Pick<Cadence, 'startFrame' | 'hold'>): number {
  return c.hold === 'first' || c.hold === 'both' ? 0 : Math.max(c.startFrame, 0)
}

const MILLION = 1_000_000

function elapsed(c: Cadence, frames: number): number {
  const speed = BigInt(Math.round((c.speed ?? 1) * MILLION))
  const num = BigInt(c.element.num) * BigInt(c.plate.den) * speed
  const den = BigInt(c.element.den) * BigInt(c.plate.num) * BigInt(MILLION)
  return Number((2n * BigInt(frames) * num + den) / (2n * den))
}
