/**
 * Going round: an element whose file is shorter than its shot, each round crossing over into the next.
 *
 *   round r shows pictures eᵣ … E − 1     E = first + count     e₀ where the element itself begins, eᵣ = sᵣ − lead
 *   its last `cross` pictures and the next one's first `cross` are seen together, the share of the next one (c + 1)/(cross + 1)
 *
 *   sᵣ  picture from which round r is seen alone: `first`, or with a seed another one in each round, in the first half of what
 *       the crossings leave of the loop
 *
 *   lead  `cross` where the file has so many pictures before `first`: what crosses in comes from there, and a round is as long as
 *         the loop; else 0: the round begins with sᵣ itself, and is shorter by the crossing
 *
 * Crossings are linear in light, a choice.
 */
import { hash } from '../../../core/index.js'

/** A picture of the element, and another one into which it crosses over. */
export interface Shown {
  readonly frame: number
  readonly into?: {
    readonly frame: number
    readonly share: number
    /** Both are bent to where what they show lies then. */
    readonly along?: boolean
  }
}

export interface Loop {
  readonly first: number
  readonly count: number
  /** At most half of `count`. */
  readonly cross: number
  readonly seed?: number | undefined
}

/**
 * @param k picture that would show if the file went on for ever
 * @param trim the first picture that may be seen, `first` or before it
 */
export function loopPictures(loop: Loop, k: number, trim: number): Shown {
  const { cross } = loop
  const end = loop.first + loop.count
  const lead = loop.first - cross >= trim ? cross : 0
  let begins = trim
  // Where the round began, on the count of k.
  let since = trim
  let shift = 0
  for (let round = 1; ; round++) {
    const leaves = since + end - begins - cross
    const here = begins + k - since
    if (k < leaves) return { frame: here }
    shift = nextShift(loop, round, shift)
    const next = loop.first + shift - lead
    const c = k - leaves
    if (c < cross) return { frame: here, into: { frame: next + c, share: (c + 1) / (cross + 1) } }
    since = leaves
    begins = next
  }
}

/** Another one than the last. */
function nextShift({ count, cross, seed }: Loop, round: number, last: number): number {
  const choices = Math.floor((count - 2 * cross) / 2) + 1
  if (seed === undefined || choices < 2) return 0
  return (last + 1 + (hash(seed, round, 0, 0, 0) % (choices - 1))) % choices
}
