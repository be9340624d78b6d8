/**
 * A motion over a shot as the path of four corners: what is carried over gaps, and compared from frame to frame, is where these
 * four lie (8 numbers), whatever the motion's kind.
 */
import { fitMotion, type Lens } from './fit/fit.js'
import type { Model } from './fit/models.js'
import { pairsOf } from './fit/pairs.js'
import { at, type Matrix3, type Place } from './matrix.js'

export type Corners = readonly Place[]
/** x and y in turn, px of a frame. */
export type Where = Float64Array

/** A box about the places has this half width at least, px: that of a single point has some. */
const LEAST_HALF = 16

export function cornersOf(places: readonly Place[]): Corners {
  const [x0, x1] = ends(places.map(([x]) => x))
  const [y0, y1] = ends(places.map(([, y]) => y))
  return [
    [x0, y0],
    [x1, y0],
    [x1, y1],
    [x0, y1],
  ]
}

function ends(values: readonly number[]): [number, number] {
  const [low, high] = [Math.min(...values), Math.max(...values)]
  const [middle, half] = [(low + high) / 2, Math.max((high - low) / 2, LEAST_HALF)]
  return [middle - half, middle + half]
}

export function whereOf(m: Matrix3, corners: Corners): Where {
  return Float64Array.from(corners.flatMap(([x, y]) => at(m, x, y)))
}

/** The motion of this kind that carries the corners nearest to there. */
export function throughCorners(
  model: Model,
  corners: Corners,
  where: Where,
  lens?: Lens,
): Matrix3 | undefined {
  const to = corners.map(
    (from, k) => [from, [where[2 * k] as number, where[2 * k + 1] as number], 1] as const,
  )
  return fitMotion(model, pairsOf(to), lens)?.matrix
}

/** Mean square along one axis, px². */
export function meanSquare(v: Where): number {
  return v.reduce((sum, x) => sum + x * x, 0) / v.length
}

/** a·x + b·y. */
export function mixed(a: number, x: Where, b: number, y: Where): Where {
  return x.map((v, i) => a * v + b * (y[i] as number))
}
