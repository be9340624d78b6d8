import type { Matrix3, Place } from '../matrix.js'

/** Points seen on two frames: where each lies on the reference frame, where on the other, and how well that is known. */
export interface Pairs {
  /** x and y in turn, px. */
  readonly from: Float64Array
  readonly to: Float64Array
  /** 1 / spread² along the worse direction, px⁻²; 0 leaves the pair out. */
  readonly weight: Float64Array
  /** What each pair's weight is multiplied by: xx, xy, yy of a 2 × 2 matrix whose smaller eigenvalue is 1. */
  readonly shape: Float64Array
  /** 0 to 1: how much of what a pair says is its own. Pairs whose windows hold the same texture err together. */
  readonly share: Float64Array
}

/** What is known of a pair beside its spread. */
export interface Weighing {
  readonly shape: Shape
  readonly share: number
}

export type Shape = readonly [xx: number, xy: number, yy: number]

/** Known alike along both axes, and by itself. */
export const PLAIN: Weighing = { shape: [1, 0, 1], share: 1 }

export function shapeOf({ shape }: Pairs, k: number): Shape {
  return [shape[3 * k] as number, shape[3 * k + 1] as number, shape[3 * k + 2] as number]
}

/** The k-th of places whose x and y stand in turn. */
export function placeOf(places: Float64Array, k: number): Place {
  return [places[2 * k] as number, places[2 * k + 1] as number]
}

/** Those of both. */
export function together(a: Pairs, b: Pairs): Pairs {
  const both = (x: Float64Array, y: Float64Array) => Float64Array.from([...x, ...y])
  return {
    from: both(a.from, b.from),
    to: both(a.to, b.to),
    weight: both(a.weight, b.weight),
    shape: both(a.shape, b.shape),
    share: both(a.share, b.share),
  }
}

/** One pair: from, to, and the standard deviation of `to` along its worse direction, px, above 0. */
export type Pair = readonly [from: Place, to: Place, spreadPx: number, weighing?: Weighing | undefined]

export function pairsOf(list: readonly Pair[]): Pairs {
  return {
    from: Float64Array.from(list.flatMap(([from]) => from)),
    to: Float64Array.from(list.flatMap(([, to]) => to)),
    weight: Float64Array.from(list, ([, , spread]) => 1 / (spread * spread)),
    shape: Float64Array.from(list.flatMap(([, , , weighing = PLAIN]) => weighing.shape)),
    share: Float64Array.from(list, ([, , , weighing = PLAIN]) => weighing.share),
  }
}

/** What those that are not left out say of their own, in pairs. */
export function ownCount({ weight, share }: Pairs): number {
  return weight.reduce((n, w, k) => n + (w > 0 ? (share[k] as number) : 0), 0)
}

/** How many are not left out. */
export function countOf({ weight }: Pairs): number {
  return weight.reduce((n, w) => n + (w > 0 ? 1 : 0), 0)
}

/** Squares of how far the pairs lie from where the motion carries them, in their spreads; infinite for one that is left out or carried to infinity. */
export function squaresOf(m: Matrix3, pairs: Pairs): Float64Array {
  const { from, to, weight } = pairs
  const out = new Float64Array(weight.length)
  for (let k = 0; k < out.length; k++) {
    const [x, y] = [from[2 * k] as number, from[2 * k + 1] as number]
    const w = m[6] * x + m[7] * y + m[8]
    const dx = (m[0] * x + m[1] * y + m[2]) / w - (to[2 * k] as number)
    const dy = (m[3] * x + m[4] * y + m[5]) / w - (to[2 * k + 1] as number)
    const [xx, xy, yy] = shapeOf(pairs, k)
    const square = (weight[k] as number) * (xx * dx * dx + 2 * xy * dx * dy + yy * dy * dy)
    out[k] = (weight[k] as number) > 0 && Number.isFinite(square) ? square : Number.POSITIVE_INFINITY
  }
  return out
}

/** Of the pairs' values that are finite, the one below and above which half of what the pairs have to say of their own lies; the upper one of two. */
export function middleOf(values: Float64Array, { share }: Pairs): number {
  const known = [...values.keys()].filter((k) => Number.isFinite(values[k]))
  known.sort((a, b) => (values[a] as number) - (values[b] as number))
  const half = known.reduce((sum, k) => sum + (share[k] as number), 0) / 2
  let sum = 0
  for (const k of known) {
    sum += share[k] as number
    if (sum > half) return values[k] as number
  }
  return Number.POSITIVE_INFINITY
}
