/**
 * A motion by least squares of what lies between where points are seen on a frame and where the motion carries them from the
 * reference frame, whose places are taken as exact:
 *
 *   χ²(p) = Σ wᵢ·|tᵢ − m(fᵢ; p)|²        wᵢ = 1 / spreadᵢ²        the maximum likelihood for normal errors on one frame
 *
 *   A = Σ wᵢ·JᵢᵀJᵢ      J = ∂m/∂p        p ← p + A⁻¹·Σ wᵢ·Jᵢᵀ(tᵢ − mᵢ)        Gauss-Newton, until χ² falls by less than 1e-12 of itself
 *   cov(p) = A⁻¹                         cov(m(f)) = J·A⁻¹·Jᵀ                 first order
 *
 * Coordinates are normalised first: about the points' middle on each frame, their mean square distance from it 2 (for a rotation:
 * about the lens's middle, in focal lengths). The pairs' errors are taken as independent of each other and equal along both axes.
 * Source: [hartley2004 §4.2.2 (error in one image), §4.4.4 (normalising), §5.2 (covariance), appendix 6 (iteration)].
 * Linear algebra: ml-matrix (Cholesky).
 */
import { CholeskyDecomposition, Matrix } from 'ml-matrix'
import { chained, type Matrix3, normalised, type Place } from '../matrix.js'
import { type Model, rotation } from './models.js'
import { countOf, type Pairs } from './pairs.js'

/** Middle of the lens on the picture and focal length, px: what a rotation needs to know. */
export interface Lens {
  readonly middle: Place
  readonly focalPx: number
}

export interface Fit {
  readonly model: Model['name']
  readonly matrix: Matrix3
  /** Σ w·r²: about `degrees` where the pairs' spreads are right and the motion is of this kind. */
  readonly chi2: number
  /** Numbers seen less numbers fitted, 0 or more. */
  readonly degrees: number
  /** Root of the weighted mean square of what is left, along one axis, px. */
  readonly rmsPx: number
  /** Variance along an axis (mean of both) of where (x, y) of the reference frame is carried, px², if the pairs' spreads are right. */
  readonly varianceAt: (x: number, y: number) => number
}

const MOST_STEPS = 20
/** Of the Cholesky factor's diagonal, least to largest: below, some parameter is not settled by the points. */
const SETTLED = 1e-6

/**
 * The motion of kind `model` that carries the pairs best.
 *
 * @param lens for a rotation, which none is fitted without
 * @returns undefined where the pairs do not settle it: too few, on one line or on one place
 */
export function fitMotion(model: Model, pairs: Pairs, lens?: Lens): Fit | undefined {
  const count = countOf(pairs)
  if (count < model.least || (model === rotation && lens === undefined)) return undefined
  const view = model === rotation && lens ? throughLens(lens) : aboutMiddle(pairs)
  const inView = seenIn(view, pairs)
  const first = model.begin(inView)
  if (first === undefined) return undefined
  let p = first
  let sums = sumsAt(model, p, inView)
  let factor = factorOf(sums)
  for (let i = 0; i < MOST_STEPS && factor !== undefined; i++) {
    const next = model.step(p, factor.solve(Matrix.columnVector(sums.slope)).to1DArray())
    const there = sumsAt(model, next, inView)
    if (!(there.chi2 < sums.chi2)) break
    const settled = sums.chi2 - there.chi2 < 1e-12 * sums.chi2
    ;[p, sums] = [next, there]
    factor = factorOf(sums)
    if (settled) break
  }
  if (factor === undefined) return undefined
  const covariance = Float64Array.from(factor.solve(Matrix.eye(model.free)).to1DArray())
  const row = new Float64Array(2 + 2 * model.free)
  const weight = pairs.weight.reduce((a, b) => a + b, 0)
  return {
    model: model.name,
    matrix: backToPixels(view, model.matrix(p)),
    chi2: sums.chi2,
    degrees: 2 * count - model.free,
    rmsPx: Math.sqrt(sums.chi2 / (2 * weight)),
    varianceAt: (x, y) => {
      model.row(p, (x - view.from[0]) / view.unit, (y - view.from[1]) / view.unit, row)
      return (view.unit * view.unit * spreadOf(row, covariance, model.free)) / 2
    },
  }
}

/** Trace of J·C·Jᵀ; J stands behind the first two numbers of `row`. */
function spreadOf(row: Float64Array, covariance: Float64Array, n: number): number {
  let sum = 0
  for (let from = 2; from < row.length; from += n)
    for (let i = 0; i < n; i++)
      for (let j = 0; j < n; j++)
        sum += (row[from + i] as number) * (covariance[i * n + j] as number) * (row[from + j] as number)
  return sum
}

/** Origin on each frame and unit of the coordinates that a motion is fitted in, px. */
interface View {
  readonly from: Place
  readonly to: Place
  readonly unit: number
}

function throughLens({ middle, focalPx }: Lens): View {
  return { from: middle, to: middle, unit: focalPx }
}

function aboutMiddle({ from, to, weight }: Pairs): View {
  let [n, x, y, u, v, squares] = [0, 0, 0, 0, 0, 0]
  for (let k = 0; k < weight.length; k++) {
    if (weight[k] === 0) continue
    n++
    x += from[2 * k] as number
    y += from[2 * k + 1] as number
    u += to[2 * k] as number
    v += to[2 * k + 1] as number
  }
  ;[x, y, u, v] = [x / n, y / n, u / n, v / n]
  for (let k = 0; k < weight.length; k++)
    if (weight[k] !== 0)
      squares += ((from[2 * k] as number) - x) ** 2 + ((from[2 * k + 1] as number) - y) ** 2
  return { from: [x, y], to: [u, v], unit: Math.sqrt(squares / n / 2) || 1 }
}

function seenIn({ from, to, unit }: View, pairs: Pairs): Pairs {
  return {
    from: pairs.from.map((v, i) => (v - (from[i & 1] as number)) / unit),
    to: pairs.to.map((v, i) => (v - (to[i & 1] as number)) / unit),
    weight: pairs.weight.map((w) => w * unit * unit),
  }
}

function backToPixels({ from, to, unit }: View, m: Matrix3): Matrix3 {
  const into: Matrix3 = [1 / unit, 0, -from[0] / unit, 0, 1 / unit, -from[1] / unit, 0, 0, 1]
  const out: Matrix3 = [unit, 0, to[0], 0, unit, to[1], 0, 0, 1]
  return chained(out, chained(normalised(m), into))
}

interface Sums {
  readonly chi2: number
  readonly curve: Float64Array
  readonly slope: Float64Array
}

function sumsAt(model: Model, p: readonly number[], { from, to, weight }: Pairs): Sums {
  const n = model.free
  const row = new Float64Array(2 + 2 * n)
  const curve = new Float64Array(n * n)
  const slope = new Float64Array(n)
  let chi2 = 0
  for (let k = 0; k < weight.length; k++) {
    const w = weight[k] as number
    if (w === 0) continue
    model.row(p, from[2 * k] as number, from[2 * k + 1] as number, row)
    const rx = (to[2 * k] as number) - (row[0] as number)
    const ry = (to[2 * k + 1] as number) - (row[1] as number)
    chi2 += w * (rx * rx + ry * ry)
    for (let i = 0; i < n; i++) {
      const [u, v] = [w * (row[2 + i] as number), w * (row[2 + n + i] as number)]
      slope[i] = (slope[i] as number) + u * rx + v * ry
      for (let j = 0; j <= i; j++)
        curve[i * n + j] =
          (curve[i * n + j] as number) + u * (row[2 + j] as number) + v * (row[2 + n + j] as number)
    }
  }
  for (let i = 0; i < n; i++) for (let j = 0; j < i; j++) curve[j * n + i] = curve[i * n + j] as number
  return { chi2, curve, slope }
}

function factorOf({ curve, slope }: Sums): CholeskyDecomposition | undefined {
  const n = slope.length
  if (!curve.every(Number.isFinite)) return undefined
  const factor = new CholeskyDecomposition(Matrix.from1DArray(n, n, Array.from(curve)))
  if (!factor.isPositiveDefinite()) return undefined
  const diagonal = factor.lowerTriangularMatrix.diagonal()
  return Math.min(...diagonal) > SETTLED * Math.max(...diagonal) ? factor : undefined
}
