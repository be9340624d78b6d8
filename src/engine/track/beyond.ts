/**
 * What the marks of a plane are off by beyond their own spreads, which know of noise alone: a codec's blocks, depth within the
 * region, a lens that is not known, borders that slide along themselves. It is much the same for all of them, so a few marks with very
 * small spreads that lie together shall not outvote the others.
 *
 *   τ² = median r² / (2 ln 2) − median σ²        r: from where the common motion carries a mark to where it was seen; 2 ln 2 is the
 *                                                median of χ² with two degrees of freedom
 */
import { median } from '../../core/index.js'
import type { Outcome } from './follower.js'
import type { Mark } from './mark.js'
import { apart, through } from './matrix.js'

const MEDIAN = 2 * Math.LN2

/** @returns τ, px; 0 where no motion is known */
export function beyondSpreads(marks: readonly Mark[], outcomes: readonly Outcome[]): number {
  const motions = new Map(outcomes.flatMap((o) => (o.motion === undefined ? [] : [[o.frame, o.motion]])))
  const [squares, variances]: [number[], number[]] = [[], []]
  for (const mark of marks) {
    for (const { frame, at, spread } of mark.seen) {
      const motion = motions.get(frame)
      if (motion === undefined) continue
      squares.push(apart(through(motion, mark.from), at) ** 2)
      variances.push(spread ** 2)
    }
  }
  return Math.sqrt(beyond(squares, variances))
}

/** τ², px². @param squares of how far marks lie off, px² @param variances of their own spreads, px² */
export function beyond(squares: readonly number[], variances: readonly number[]): number {
  return squares.length === 0 ? 0 : Math.max(0, median(squares) / MEDIAN - median(variances))
}
