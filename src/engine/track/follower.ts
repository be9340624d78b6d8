/** What the two kinds of followers have in common: the sweep gives them frames, one after the other, in one direction of time. */
import type { Astray, Uneven } from '../../chain/place/motion/seen.js'
import type { Matrix, Place, Vision } from '../../vision/index.js'
import type { Lens } from './lens.js'
import type { Luma } from './luma.js'
import type { Mark } from './mark.js'
import type { Step } from './scene.js'

/** What a follower needs to know of its track, and of the plate. */
export interface Ask {
  readonly vision: Vision
  readonly lens: Lens
  /** Noise of the plate, 256 steps. */
  readonly noise: number
  /** Frame of the shot on which the track's places are drawn. */
  readonly reference: number
  readonly corrections: readonly Correction[]
}

export interface Correction {
  readonly frame: number
  readonly from: Place
  readonly to: Place
}

/** What came of one frame. */
export interface Outcome {
  readonly frame: number
  /** Marks looked for, seen, and going with the others. */
  readonly tried: number
  readonly seen: number
  readonly agree: number
  /** What went with the others before and goes another way now; absent where a follower does not tell. */
  readonly astray?: Omit<Astray, 'frame'>
  /** Of a whole picture. */
  readonly uneven?: Omit<Uneven, 'frame'> | undefined
  /** Fine detail beside that of the looks: 1 the same; nothing where nothing was seen. */
  readonly sharp: number | undefined
  /** From the reference frame, without lens distortion; of points that are followed one by one nothing. */
  readonly motion: Matrix | undefined
}

export interface Follower {
  /** Every mark there ever was. */
  readonly marks: readonly Mark[]
  /** What is to be said to a person. */
  readonly said: readonly string[]
  /** Where the things lie that the scene shall look for. */
  places(): readonly Place[]
  /** @param step of the scene; its places answer those of `places` */
  next(luma: Luma, frame: number, step: Step): Outcome
}

/** A mark counts as seen: the way there and back closes, and it looks as it did. */
export const CLOSES = 0.5
export const ALIKE = 0.75
/** Fine detail below that share: the frame is blurred. */
export const BLURRED = 0.5

export function inFrame([x, y]: Place, { width, height }: Luma, margin: number): boolean {
  return x >= margin && y >= margin && x <= width - margin && y <= height - margin
}
