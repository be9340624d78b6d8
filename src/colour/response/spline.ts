/**
 * A smooth rising curve through scattered samples: cubic B-splines on even knots, held smooth by their third
 * differences and rising by a one-sided penalty on their first.
 *
 *   minimise  Σ wᵢ (yᵢ − f(xᵢ))² + λ Σ (Δ³a)² + κ Σ over falling Δa of (Δa)²,   f(x) = Σ aⱼ Bⱼ(x)
 *
 *   λ  smoothness, by generalised cross-validation with a price of 1.2 a degree of freedom: least of
 *      n·RSS / (n − 1.2·tr H)²; the ν = n − tr H degrees that are left tell the noise σ² = RSS / ν
 *   κ  10⁶, switched on for the differences that fall until they settle
 *
 * The spread of f is that of the Bayesian reading, σ² bᵀ(BᵀB + λDᵀD)⁻¹b: it grows where samples are far apart. A
 * noise told by few degrees is itself uncertain: σ is widened by 1 + 1.6/ν, which is Student's 95 % bound over the
 * normal one to 0.1 from ν = 3 on.
 * Third differences leave parabolas free, so neither a straight log curve nor a power's bend is pulled flat.
 *
 * Source: [eilers1996] (penalised splines), [bollaerts2006] (rising by penalties), [golub1979] (cross-validation),
 * [kim2004] (a price above 1; theirs is 1.4), [wahba1983] (spread). Linear algebra: ml-matrix (Cholesky).
 */
import { CholeskyDecomposition, Matrix } from 'ml-matrix'

const RISE = 1e6
const PRICE = 1.2
const SETTLE = 30

/** A point that the curve should meet, `weight` times as strongly as others. */
export interface SplineSample {
  readonly x: number
  readonly y: number
  readonly weight: number
}

/** A fitted curve over `from`…`to`. */
export interface Spline {
  readonly value: (x: number) => number
  readonly slope: (x: number) => number
  /** One standard deviation of the value. */
  readonly spread: (x: number) => number
  /** Root of the mean weighted square of what the curve leaves. */
  readonly residual: number
}

/**
 * Fits the curve.
 *
 * @param samples 4 or more different x in `from`…`to`
 * @param knot distance of the knots, in x
 * @param noiseFloor least standard deviation of a sample that is believed, in y
 */
export function fitSpline(
  samples: readonly SplineSample[],
  from: number,
  to: number,
  knot: number,
  noiseFloor: number,
): Spline {
  const pieces = Math.max(4, Math.ceil((to - from) / knot))
  const basis = basisOf(from, (to - from) / pieces, pieces)
  const root = samples.map(({ weight }) => Math.sqrt(weight))
  const b = new Matrix(samples.map(({ x }, i) => scaled(row(basis, x), root[i] as number)))
  const y = Matrix.columnVector(samples.map((s, i) => s.y * (root[i] as number)))
  const best = cheapest(b, y, noiseFloor)
  const dot = (weights: Float64Array) => {
    let sum = 0
    for (let j = 0; j < weights.length; j++) sum += (weights[j] as number) * best.a.get(j, 0)
    return sum
  }
  return {
    value: (x) => dot(row(basis, x)),
    slope: (x) => dot(slopeRow(basis, x)),
    spread: (x) => {
      const at = Matrix.columnVector(row(basis, x))
      return best.sigma * Math.sqrt(Math.max(at.transpose().mmul(best.inverse).mmul(at).get(0, 0), 0))
    },
    residual: Math.sqrt(best.rss / samples.length),
  }
}

interface Fit {
  readonly a: Matrix
  readonly inverse: Matrix
  readonly rss: number
  readonly sigma: number
  readonly score: number
}

function cheapest(b: Matrix, y: Matrix, noiseFloor: number): Fit {
  let best: Fit | undefined
  for (let exponent = -4; exponent <= 3; exponent += 0.5) {
    const fit = solved(b, y, 10 ** exponent, noiseFloor)
    if (best === undefined || fit.score < best.score) best = fit
  }
  return best as Fit
}

function solved(b: Matrix, y: Matrix, lambda: number, noiseFloor: number): Fit {
  const size = b.columns
  const gram = b.transpose().mmul(b)
  const smooth = Matrix.add(
    gram,
    differences(size, 3, () => lambda),
  )
  const right = b.transpose().mmul(y)
  let falling = new Set<number>()
  let a = new CholeskyDecomposition(smooth).solve(right)
  for (let turn = 0; turn < SETTLE; turn++) {
    const now = new Set<number>()
    for (let j = 0; j + 1 < size; j++) if (a.get(j + 1, 0) < a.get(j, 0)) now.add(j)
    if (same(now, falling)) break
    // What was held stays held: letting go at once would swing between two states.
    falling = new Set([...falling, ...now])
    const held = Matrix.add(
      smooth,
      differences(size, 1, (j) => (falling.has(j) ? RISE : 0)),
    )
    a = new CholeskyDecomposition(held).solve(right)
  }
  const inverse = new CholeskyDecomposition(smooth).solve(Matrix.eye(size))
  const n = b.rows
  const used = inverse.mmul(gram).trace()
  const rss = Matrix.sub(y, b.mmul(a)).norm() ** 2
  // A perfect fit must not win by a residual of nothing: the noise that is believed at least counts too.
  const score = (n * (rss + n * noiseFloor ** 2)) / Math.max(n - PRICE * used, 0.1) ** 2
  const left = Math.max(n - used, 1)
  const sigma = Math.max(Math.sqrt(rss / left), noiseFloor) * (1 + 1.6 / left)
  return { a, inverse, rss, sigma, score }
}

function same(a: ReadonlySet<number>, b: ReadonlySet<number>): boolean {
  for (const j of a) if (!b.has(j)) return false
  return true
}

/** Σ weight(j) · (j-th difference of the order)², as a matrix. */
function differences(size: number, order: 1 | 3, weight: (j: number) => number): Matrix {
  const taps = order === 1 ? [-1, 1] : [-1, 3, -3, 1]
  const out = Matrix.zeros(size, size)
  for (let j = 0; j + order < size; j++) {
    taps.forEach((p, s) => {
      taps.forEach((q, t) => {
        out.set(j + s, j + t, out.get(j + s, j + t) + weight(j) * p * q)
      })
    })
  }
  return out
}

interface Basis {
  readonly from: number
  readonly step: number
  readonly pieces: number
}

function basisOf(from: number, step: number, pieces: number): Basis {
  return { from, step, pieces }
}

function scaled(values: Float64Array, factor: number): number[] {
  return Array.from(values, (v) => v * factor)
}

function place({ from, step, pieces }: Basis, x: number): readonly [number, number] {
  const at = (x - from) / step
  const piece = Math.min(Math.max(Math.floor(at), 0), pieces - 1)
  return [piece, at - piece]
}

/** Weights of the coefficients in f(x). */
function row(basis: Basis, x: number): Float64Array {
  const [piece, t] = place(basis, x)
  const out = new Float64Array(basis.pieces + 3)
  out[piece] = (1 - t) ** 3 / 6
  out[piece + 1] = (3 * t ** 3 - 6 * t ** 2 + 4) / 6
  out[piece + 2] = (-3 * t ** 3 + 3 * t ** 2 + 3 * t + 1) / 6
  out[piece + 3] = t ** 3 / 6
  return out
}

/** Weights of the coefficients in f′(x). */
function slopeRow(basis: Basis, x: number): Float64Array {
  const [piece, t] = place(basis, x)
  const out = new Float64Array(basis.pieces + 3)
  const half = 1 / (2 * basis.step)
  out[piece] = -((1 - t) ** 2) * half
  out[piece + 1] = (3 * t ** 2 - 4 * t) * half
  out[piece + 2] = (-3 * t ** 2 + 2 * t + 1) * half
  out[piece + 3] = t ** 2 * half
  return out
}
