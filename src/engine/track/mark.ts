/** A place that is followed: what it looked like, where it was seen. */
import type { Weighing } from '../../chain/place/motion/fit/pairs.js'
import type { Place } from '../../vision/index.js'
import type { Luma } from './luma.js'
import { type Cut, cut, STILL, type Turn } from './patch.js'

/** How a place looked on the frame that it is compared with. */
export interface Look {
  readonly frame: number
  /** In the plate as it was filmed, lens and all. */
  readonly at: Place
  readonly window: number
  readonly cut: Cut
}

/** Where a mark was seen. */
export interface Seen {
  readonly frame: number
  /** On a plate without lens distortion. */
  readonly at: Place
  readonly spread: number
  readonly weighing: Weighing
}

export interface Mark {
  /** On the reference frame of its track, without lens distortion. */
  readonly from: Place
  /** Standard deviation of that, px: a mark that was taken on another frame lies where the motion of that frame put it. */
  readonly fromSpread: number
  look: Look
  /** Where it is or is supposed to be now, in the plate as it was filmed. */
  at: Place
  /** From its look to how it lies now. */
  turn: Turn
  /** Frames since it was seen last. */
  hidden: number
  /** Correlation when `turn` was found. */
  fresh: number
  readonly seen: Seen[]
  /** How often it went with the others of its plane, and how often it did not. */
  agreed: number
  strayed: number
}

/** Room around the window that a look keeps, so that it can be drawn larger, smaller and turned: times its side, and taps. */
const ROOM = 1.8
const TAPS = 8

export function lookAt(luma: Luma, frame: number, at: Place, window: number): Look {
  return { frame, at, window, cut: cut(luma, at, Math.ceil(ROOM * window) + TAPS) }
}

export function newMark(from: Place, look: Look, fromSpread = 0): Mark {
  return {
    from,
    fromSpread,
    look,
    at: look.at,
    turn: STILL,
    hidden: 0,
    fresh: 1,
    seen: [],
    agreed: 0,
    strayed: 0,
  }
}
