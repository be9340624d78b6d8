import type { Place } from '../matrix.js'

/** Points seen on two frames: where each lies on the reference frame, where on the other, and how well that is known. */
export interface Pairs {
  /** x and y in turn, px. */
  readonly from: Float64Array
  readonly to: Float64Array
  /** 1 / spread², px⁻²; 0 leaves the pair out. */
  readonly weight: Float64Array
}

/** One pair: from, to, and the standard deviation of `to` along each axis, px, above 0. */
export type Pair = readonly [from: Place, to: Place, spreadPx: number]

export function pairsOf(list: readonly Pair[]): Pairs {
  return {
    from: Float64Array.from(list.flatMap(([from]) => from)),
    to: Float64Array.from(list.flatMap(([, to]) => to)),
    weight: Float64Array.from(list, ([, , spread]) => 1 / (spread * spread)),
  }
}

/** How many are not left out. */
export function countOf({ weight }: Pairs): number {
  return weight.reduce((n, w) => n + (w > 0 ? 1 : 0), 0)
}
