/**
 * How a surface slants changes slowly. What a hand does to a camera from one frame to the next is a shift, a turn and a change of
 * size, by any amount; what is left of the motion walks at random. So what one frame says of it is known on the next:
 *
 *   c  where the corners of a square lie, 8 numbers       c′ = S·c + walk       S  any similarity       walk ~ N(0, q) px² a frame
 *
 *   V = S·P·Sᵀ + q·frames·1        Λ = V⁻¹ − V⁻¹T·(TᵀV⁻¹T)⁻¹·TᵀV⁻¹
 *
 *   P  covariance of c      T  the four ways in which shift, turn and size move c: along them Λ says nothing
 *   q  is measured: of some steps the one under which what is seen surprises least (solve.ts)
 *
 * A Kalman filter whose similarity is not known before. Source: [anderson1979 §3.1] (prediction, innovations), [hartley2004 §2.4].
 * Linear algebra: ml-matrix.
 */
import { determinant, inverse, Matrix } from 'ml-matrix'
import { ln } from '../../../../core/index.js'
import { at, type Matrix3, type Place } from '../matrix.js'
import { cornersOf, whereOf } from '../path.js'
import { type Fit, fitMotion, type Prior } from './fit.js'
import { type Model, similarity } from './models.js'
import { pairsOf, placeOf } from './pairs.js'

/** What is known of a frame's motion: where corners lie, px, and the covariance of that, px². */
export interface Placed {
  readonly corners: readonly Place[]
  readonly where: Float64Array
  readonly covariance: Matrix
}

/**
 * The square about some places, whose corners a slant is told by. Not their box: however thin a strip is that is seen of a surface, it
 * leans and recedes no faster across than along.
 */
export function squareAbout(places: readonly Place[]): readonly Place[] {
  const [[x0, y0], , [x1, y1]] = cornersOf(places) as [Place, Place, Place, Place]
  const [x, y, half] = [(x0 + x1) / 2, (y0 + y1) / 2, Math.max(x1 - x0, y1 - y0) / 2]
  return cornersOf([
    [x - half, y - half],
    [x + half, y + half],
  ])
}

/** Whether a motion of this kind slants at all. */
export function slants(model: Model): boolean {
  return model.free > similarity.free
}

export function placedBy(fit: Pick<Fit, 'matrix' | 'covarianceOf'>, corners: readonly Place[]): Placed {
  return { corners, where: whereOf(fit.matrix, corners), covariance: fit.covarianceOf(corners) }
}

/** The reference frame: known exactly. */
export function placedStill(corners: readonly Place[]): Placed {
  return { corners, where: Float64Array.from(corners.flat()), covariance: Matrix.zeros(8, 8) }
}

/**
 * What one frame says of another.
 *
 * @param about a motion to the other frame: its shift, turn and size are taken, not its slant
 * @param walk q times the frames in between, px², above 0
 */
export function carriedOver(placed: Placed, about: Matrix3, walk: number): Prior | undefined {
  const { corners, where, covariance } = placed
  const there = whereOf(about, corners)
  const step = fitMotion(
    similarity,
    pairsOf(corners.map((_, k) => [placeOf(where, k), placeOf(there, k), 1] as const)),
  )?.matrix
  if (step === undefined) return undefined
  const now = Float64Array.from(corners.flatMap((_, k) => at(step, ...placeOf(where, k))))
  const turn = Matrix.zeros(now.length, now.length)
  for (let k = 0; k < now.length; k += 2)
    for (const [i, j] of BLOCK) turn.set(k + i, k + j, step[3 * i + j] as number)
  const v = turn.mmul(covariance).mmul(turn.transpose()).add(Matrix.eye(now.length).mul(walk))
  const sure = inverse(v)
  const ways = waysOf(now)
  const along = sure.mmul(ways)
  const settled = ways.transpose().mmul(along)
  const information = Matrix.sub(sure, along.mmul(inverse(settled)).mmul(along.transpose()))
  return { corners, where: now, information, lnDeterminant: -ln(determinant(v)) - ln(determinant(settled)) }
}

const BLOCK = [0, 1].flatMap((i) => [0, 1].map((j) => [i, j] as const))

/** How a shift, a change of size and a turn move the corners, each of length 1. */
function waysOf(where: Float64Array): Matrix {
  const n = where.length / 2
  const middle = [0, 1].map((c) => where.reduce((sum, v, i) => sum + ((i & 1) === c ? v : 0), 0) / n)
  const off = where.map((v, i) => v - (middle[i & 1] as number))
  const size = Math.sqrt(off.reduce((sum, v) => sum + v * v, 0))
  const one = 1 / Math.sqrt(n)
  const rows = Array.from(where, (_, i) => {
    const [own, other] = [off[i] as number, off[i ^ 1] as number]
    return i & 1 ? [0, one, own / size, other / size] : [one, 0, own / size, -other / size]
  })
  return new Matrix(rows)
}
