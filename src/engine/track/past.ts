/**
 * New marks lie within the outline, but not all of them on the plane: what stands before it looks like a part of it until it moves
 * otherwise. So each is looked for on a frame before, on which the plane's motion is known as well.
 */
import { chained, inverse } from '../../chain/place/motion/matrix.js'
import type { Matrix, Place } from '../../vision/index.js'
import { ALIKE, type Ask, CLOSES, inFrame } from './follower.js'
import type { Luma } from './luma.js'
import type { Mark } from './mark.js'
import { apart, through } from './matrix.js'
import { lookFor } from './sheet.js'
import { turnAt } from './turn.js'

/** Frames that are looked back over: so many, up to twice. */
const BACK = 6

interface Frame {
  readonly luma: Luma
  readonly frame: number
  readonly motion: Matrix
}

export class Past {
  /** At most two, the older one first. */
  #kept: readonly Frame[] = []

  keep(luma: Luma, frame: number, motion: Matrix): void {
    const last = this.#kept.at(-1)
    if (last === undefined || Math.abs(frame - last.frame) >= BACK)
      this.#kept = [...this.#kept.slice(-1), { luma, frame, motion }]
  }

  /**
   * @param marks taken on this frame
   * @param motion of the plane on it
   * @param off px from where the plane had a mark then, beyond which it is no part of it
   * @returns those that were seen there where the plane had them; where they are fewer than `least`, those too that were not seen
   */
  borneOut(ask: Ask, marks: readonly Mark[], motion: Matrix, off: number, least: number): readonly Mark[] {
    const [then] = this.#kept
    if (then === undefined) return marks
    const { lens, vision, noise } = ask
    const backward = chained(then.motion, inverse(motion))
    const before = (p: Place) => lens.filmed(through(backward, lens.straight(p)))
    const tries = marks
      .map((mark) => ({ mark, at: before(mark.look.at), turn: turnAt(before, mark.look.at) }))
      .filter(({ at, mark }) => inFrame(at, then.luma, mark.look.window / 2))
    const [there, elsewhere] = [new Set<Mark>(), new Set<Mark>()]
    lookFor(vision, then.luma, tries, noise).forEach((sight, i) => {
      const { mark, at } = tries[i] as (typeof tries)[number]
      if (sight === undefined || sight.back > CLOSES || sight.alike < ALIKE) return
      if (apart(sight.at, at) <= off) there.add(mark)
      else elsewhere.add(mark)
    })
    return marks.filter((m) => there.has(m) || (there.size < least && !elsewhere.has(m)))
  }
}
