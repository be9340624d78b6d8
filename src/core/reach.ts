import { EMPTY, grow, isEmpty, type Region } from './region.js'

/**
 * How far a step of the work spreads: what lets the engine compute, backwards from the pixels that are wanted, which
 * pixels each step must be given, and forwards from what a picture holds, which pixels it can change.
 *
 * Both may name too much, never too little. Nothing for nothing: an empty region gives an empty one.
 */
export interface Reach {
  /** The part of its input that a part of its output is made from. */
  needs(output: Region): Region
  /** The part of its output that a part of its input can change. */
  touches(input: Region): Region
}

/** A pixel depends on itself alone (and, it may be, on its place). */
export const POINTWISE: Reach = { needs: (r) => r, touches: (r) => r }

/** A pixel depends on those at most `by` away on each side. */
export function around(by: number): Reach {
  return { needs: (r) => grow(r, by), touches: (r) => grow(r, by) }
}

/** Every pixel depends on all of `all`. */
export function wholeOf(all: Region): Reach {
  const whole = (r: Region) => (isEmpty(r) ? EMPTY : all)
  return { needs: whole, touches: whole }
}

/** Steps one behind the other, the first one first. */
export function chained(...steps: readonly Reach[]): Reach {
  return {
    needs: (r) => steps.reduceRight((region, step) => step.needs(region), r),
    touches: (r) => steps.reduce((region, step) => step.touches(region), r),
  }
}
