/**
 * Cadence: which picture of an element shows on which frame of the shot.
 *
 *   k = trim + round((n − start) · speed · Fe / Fp)      exact in fractions; a half goes up
 *
 * Nearest picture, no blending, where nothing else is said: a blend of two is a picture that no shutter took. `held` rounds down: each
 * picture stays until the next is due, as a pulldown has it, so 24 in 60 shows three and two times by turns. `blend` shows two, by how
 * near each is in time: it is even, and doubles every edge that moves; for `flow` the two are bent to where they meet first. Where a round of a loop crosses over into the next, two are seen
 * too (`loop.ts`).
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
  /** Frames of the shot that see it, where it is a pulse of light: its first picture on each of those, nothing else. */
  readonly pulse?: readonly number[] | undefined
  /** `nearest` when absent. A loop's pictures are not blended. */
  readonly conform?: 'nearest' | 'held' | 'blend' | 'flow' | undefined
}

/** What shows on shot frame `n`; undefined before its start and after its end. */
export function shownPictures(c: Cadence, n: number): Shown | undefined {
  if (c.pulse !== undefined) return c.pulse.includes(n) ? { frame: c.trimFrames } : undefined
  const before = n < c.startFrame
  if (before && c.hold !== 'first' && c.hold !== 'both') return undefined
  const [whole, beyond] = before ? [0, 0] : elapsed(c, n - c.startFrame)
  const blends = (c.conform === 'blend' || c.conform === 'flow') && c.loop === undefined
  const k = c.trimFrames + whole + (c.conform === 'held' || blends || beyond < 0.5 ? 0 : 1)
  if (c.loop !== undefined) return loopPictures(c.loop, k, c.trimFrames)
  if (k < c.count) {
    return blends && beyond > 0 && k + 1 < c.count
      ? { frame: k, into: { frame: k + 1, share: beyond, along: c.conform === 'flow' } }
      : { frame: k }
  }
  return c.hold === 'last' || c.hold === 'both' ? { frame: c.count - 1 } : undefined
}

/** The picture that shows on shot frame `n`: of two, the one that goes. */
export function elementFrame(c: Cadence, n: number): number | undefined {
  return shownPictures(c, n)?.frame
}

/** The first frame of the shot on which it can show. */
export function firstShown(c: Pick<Cadence, 'startFrame' | 'hold' | 'pulse'>): number {
  const [first] = c.pulse ?? []
  if (first !== undefined) return Math.max(first, 0)
  return c.hold === 'first' || c.hold === 'both' ? 0 : Math.max(c.startFrame, 0)
}

const MILLION = 1_000_000

/** Pictures of the element that have passed, and the part of the next one. */
function elapsed(c: Cadence, frames: number): [whole: number, beyond: number] {
  const speed = BigInt(Math.round((c.speed ?? 1) * MILLION))
  const num = BigInt(c.element.num) * BigInt(c.plate.den) * speed
  const den = BigInt(c.element.den) * BigInt(c.plate.num) * BigInt(MILLION)
  const passed = BigInt(frames) * num
  const whole = passed / den
  return [Number(whole), Number(passed - whole * den) / Number(den)]
}
