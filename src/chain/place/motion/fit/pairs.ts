import type { Matrix3, Place } from '../matrix.js'

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

/** Squares of how far the pairs lie from where the motion carries them, in their spreads; infinite for one that is left out or carried to infinity. */
export function squaresOf(m: Matrix3, { from, to, weight }: Pairs): Float64Array {
  const out = new Float64Array(weight.length)
  for (let k = 0; k < out.length; k++) {
    const [x, y] = [from[2 * k] as number, from[2 * k + 1] as number]
    const w = m[6] * x + m[7] * y + m[8]
    const dx = (m[0] * x + m[1] * y + m[2]) / w - (to[2 * k] as number)
    const dy = (m[3] * x + m[4] * y + m[5]) / w - (to[2 * k + 1] as number)
    const square = (weight[k] as number) * (dx * dx + dy * dy)
    out[k] = (weight[k] as number) > 0 && Number.isFinite(square) ? square : Number.POSITIVE_INFINITY
  }
  return out
}
