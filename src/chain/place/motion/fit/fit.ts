/**
 * A motion by least squares of what lies between where points are seen on a frame and where the motion carries them from the
 * reference frame, whose places are taken as exact:
 *
 *   χ²(p) = Σ wᵢ·|tᵢ − m(fᵢ; p)|²        wᵢ = 1 / spreadᵢ²        the maximum likelihood for normal errors on one frame
 *
 *   A = Σ wᵢ·JᵢᵀJᵢ      J = ∂m/∂p        p ← p + A⁻¹·Σ wᵢ·Jᵢᵀ(tᵢ − mᵢ)        Gauss-Newton, until χ² falls by less than 1e-12 of itself
 *   cov(p) = A⁻¹                         cov(m(f)) = J·A⁻¹·Jᵀ                 first order
 *
 * wᵢ is a 2 × 2 matrix (pairs.ts): along an edge a place is known worse than across it. Pairs that say in part what others say count by
 * their share alone. What is known of the motion before the points are
 * looked at (slant.ts) enters as one more square of as many numbers: χ² + (c₀ − c(p))ᵀ·Λ·(c₀ − c(p)), c the places of some corners.
 * With it k = tr(A⁻¹·Σ Jᵢᵀwᵢ·Jᵢ) numbers are taken from the points, fewer than are fitted.
 *
 * Coordinates are normalised first: about the points' middle on each frame, their mean square distance from it 2 (for a rotation:
 * about the lens's middle, in focal lengths). The pairs' errors are taken as independent of each other.
 * Source: [hartley2004 §4.2.2 (error in one image), §4.4.4 (normalising), §5.2 (covariance), appendix 6 (iteration)];
 * [hastie2009 §7.6 (numbers taken)].
 * Linear algebra: ml-matrix (Cholesky).
 */
import { CholeskyDecomposition, Matrix } from 'ml-matrix'
import { ln } from '../../../../core/index.js'
import { chained, type Matrix3, normalised, type Place } from '../matrix.js'
import { type Model, rotation } from './models.js'
import { countOf, ownCount, type Pairs, pairsOf, placeOf, shapeOf, together } from './pairs.js'

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
  /** Numbers seen less numbers taken from them, 0 or more. */
  readonly degrees: number
  /** Root of the weighted mean square of what is left, along one axis, px. */
  readonly rmsPx: number
  /** Variance along an axis (mean of both) of where (x, y) of the reference frame is carried, px², if the pairs' spreads are right. */
  readonly varianceAt: (x: number, y: number) => number
  /** Covariance of where these places are carried (x and y in turn), px², if the pairs' spreads are right. */
  readonly covarianceOf: (places: readonly Place[]) => Matrix
  /** −2 ln of how likely the pairs are under what was known before, but for a constant: the integral over p, by its quadratic. */
  readonly surprise: number
}

/** Where corners of the reference frame are carried, and how well that is known before points are looked at. */
export interface Prior {
  readonly corners: readonly Place[]
  /** x and y in turn, px. */
  readonly where: Float64Array
  /** Λ, px⁻²; it need not say anything in every direction. */
  readonly information: Matrix
  /** ln of the product of what it says in the directions in which it says anything. */
  readonly lnDeterminant: number
}

const MOST_STEPS = 20
/** Of the Cholesky factor's diagonal, least to largest: below, some parameter is not settled by the points. */
const SETTLED = 1e-6

/**
 * The motion of kind `model` that carries the pairs best.
 *
 * @param lens for a rotation, which none is fitted without
 * @param priors what is known of it beside the pairs; none for a rotation
 * @returns undefined where pairs and priors do not settle it: too few, on one line or on one place
 */
export function fitMotion(
  model: Model,
  pairs: Pairs,
  lens?: Lens,
  priors: readonly Prior[] = [],
): Fit | undefined {
  const count = countOf(pairs)
  const [before] = priors
  const known = before && pairsOf(before.corners.map((c, k) => [c, placeOf(before.where, k), 1] as const))
  if (count < (known ? 1 : model.least) || (model === rotation && lens === undefined)) return undefined
  const view =
    model === rotation && lens ? throughLens(lens) : aboutMiddle(known ? together(pairs, known) : pairs)
  const inView = seenIn(view, pairs)
  const first = model.begin(known ? seenIn(view, known) : inView)
  if (first === undefined) return undefined
  const at = (p: readonly number[]) => withPriors(sumsAt(model, p, inView), model, p, view, priors)
  let p = first
  let sums = at(p)
  let factor = factorOf(sums)
  for (let i = 0; i < MOST_STEPS && factor !== undefined; i++) {
    const next = model.step(p, factor.solve(Matrix.columnVector(sums.slope)).to1DArray())
    const there = at(next)
    if (!(there.cost < sums.cost)) break
    const settled = sums.cost - there.cost < 1e-12 * sums.cost
    ;[p, sums] = [next, there]
    factor = factorOf(sums)
    if (settled) break
  }
  if (factor === undefined) return undefined
  const n = model.free
  const covariance = factor.solve(Matrix.eye(n))
  const own = Matrix.from1DArray(n, n, Array.from(sums.own))
  const weight = sumOf(pairs)
  const covarianceOf = (places: readonly Place[]) => {
    const { slope } = carriedIn(view, model, p, places)
    return slope.mmul(covariance).mmul(slope.transpose())
  }
  return {
    model: model.name,
    matrix: backToPixels(view, model.matrix(p)),
    chi2: sums.chi2,
    degrees: Math.max(0, 2 * ownCount(pairs) - (priors.length === 0 ? n : covariance.mmul(own).trace())),
    rmsPx: Math.sqrt(sums.chi2 / weight),
    varianceAt: (x, y) => covarianceOf([[x, y]]).trace() / 2,
    covarianceOf,
    surprise:
      sums.cost +
      2 * factor.lowerTriangularMatrix.diagonal().reduce((sum, d) => sum + ln(d), 0) -
      priors.reduce((sum, p) => sum + p.lnDeterminant, 0),
  }
}

/** Sum of the weights along both axes. */
function sumOf(pairs: Pairs): number {
  return pairs.weight.reduce((sum, w, k) => {
    const [xx, , yy] = shapeOf(pairs, k)
    return sum + w * (pairs.share[k] as number) * (xx + yy)
  }, 0)
}

/** Where the motion carries places, px, and how that changes with its numbers. */
function carriedIn(view: View, model: Model, p: readonly number[], places: readonly Place[]) {
  const n = model.free
  const row = new Float64Array(2 + 2 * n)
  const where = new Float64Array(2 * places.length)
  const slope = Matrix.zeros(2 * places.length, n)
  for (const [k, [x, y]] of places.entries()) {
    model.row(p, (x - view.from[0]) / view.unit, (y - view.from[1]) / view.unit, row)
    for (const axis of [0, 1] as const) {
      where[2 * k + axis] = view.to[axis] + view.unit * (row[axis] as number)
      for (let i = 0; i < n; i++) slope.set(2 * k + axis, i, view.unit * (row[2 + axis * n + i] as number))
    }
  }
  return { where, slope }
}

function withPriors(
  sums: Sums,
  model: Model,
  p: readonly number[],
  view: View,
  priors: readonly Prior[],
): Sums & { readonly own: Float64Array; readonly cost: number } {
  const own = sums.curve.slice()
  let cost = sums.chi2
  for (const { corners, where, information } of priors) {
    const there = carriedIn(view, model, p, corners)
    const off = Matrix.columnVector(where.map((v, i) => v - (there.where[i] as number)))
    const pull = there.slope.transpose().mmul(information)
    const turned = pull.mmul(there.slope)
    const [curve, slope] = [
      Matrix.add(turned, turned.transpose()).mul(0.5).to1DArray(),
      pull.mmul(off).to1DArray(),
    ]
    curve.forEach((v, i) => {
      sums.curve[i] = (sums.curve[i] as number) + v
    })
    slope.forEach((v, i) => {
      sums.slope[i] = (sums.slope[i] as number) + v
    })
    cost += off.dot(information.mmul(off))
  }
  return { ...sums, own, cost }
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
    ...pairs,
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

function sumsAt(model: Model, p: readonly number[], pairs: Pairs): Sums {
  const { from, to, weight, share } = pairs
  const n = model.free
  const row = new Float64Array(2 + 2 * n)
  const curve = new Float64Array(n * n)
  const slope = new Float64Array(n)
  let chi2 = 0
  for (let k = 0; k < weight.length; k++) {
    const w = (weight[k] as number) * (share[k] as number)
    if (w === 0) continue
    const [xx, xy, yy] = shapeOf(pairs, k)
    model.row(p, from[2 * k] as number, from[2 * k + 1] as number, row)
    const rx = (to[2 * k] as number) - (row[0] as number)
    const ry = (to[2 * k + 1] as number) - (row[1] as number)
    chi2 += w * (xx * rx * rx + 2 * xy * rx * ry + yy * ry * ry)
    for (let i = 0; i < n; i++) {
      const [a, b] = [row[2 + i] as number, row[2 + n + i] as number]
      const [u, v] = [w * (xx * a + xy * b), w * (xy * a + yy * b)]
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
