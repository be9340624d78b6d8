/**
 * Where a camera went, from what it sees of two things or more whose distances are known: turning shifts near and far alike,
 * going shifts them by 1/d. Places of each thing lie on a plane that faces the camera of the reference frame.
 *
 *   q = F · X / Z      (X, Y, Z) = R · (P − t)      P = D / F · (x, y, F)
 *
 * R (three angles) and t (right, down, forward, m) by least squares of all places' shifts, Gauss-Newton. Standard deviations come from
 * those of the places and of the distances. A part is told where it is known to TELLS degrees of view on the nearest thing; else it
 * cannot be told, and counts as not known, not as 0.
 * Source: [hartley2004 §7.1] (resection), [hartley2004 §5.1] (covariance). Linear algebra: ml-matrix.
 */
import { CholeskyDecomposition, Matrix } from 'ml-matrix'

export interface Seen {
  /** On the reference frame and now, pixels from the picture's middle. */
  readonly from: readonly [number, number]
  readonly to: readonly [number, number]
  /** Of `to`, px. */
  readonly sd: number
  /** Along the lens's axis on the reference frame. */
  readonly distanceM: number
  readonly distanceSd: number
}

export interface Part {
  readonly metres: number
  readonly sd: number
}
export type Went = Readonly<Record<'right' | 'down' | 'forward', Part | { readonly cannotTell: string }>>

/** A choice: a tenth of what the view may change (`budget.ts`). */
const TELLS_DEG = 1
const ROUNDS = 12
const LEAST_SD = 0.01
/** How far it may have turned and gone, as far as anyone knows: 30° and 30 m. Keeps what nothing tells from running away. */
const BEFOREHAND = [0.5, 0.5, 0.5, 30, 30, 30] as const

export function cameraWent(focalPx: number, seen: readonly Seen[]): Went {
  const depths = new Set(seen.map((s) => s.distanceM))
  if (depths.size < 2) return none('all that is followed lies at one distance: turning and going look alike')
  const best = solve(focalPx, seen)
  if (best === undefined) return none('the places that are followed contradict each other')
  const variance = [3, 4, 5].map((i) => best.covariance.get(i, i))
  // A distance is wrong for all places that share it, so it is moved as a whole.
  for (const d of depths) {
    const sd = seen.find((s) => s.distanceM === d)?.distanceSd ?? 0
    if (sd === 0) continue
    const moved = seen.map((s) => (s.distanceM === d ? { ...s, distanceM: d + sd } : s))
    const other = solve(focalPx, moved)
    for (let i = 0; i < 3; i++) {
      const change = (other?.state[3 + i] ?? Number.POSITIVE_INFINITY) - (best.state[3 + i] as number)
      variance[i] = (variance[i] as number) + change * change
    }
  }
  const allowed = Math.min(...depths) * Math.tan((TELLS_DEG * Math.PI) / 180)
  const part = (i: number): Part | { cannotTell: string } => {
    const sd = Math.sqrt(variance[i] as number)
    if (sd <= allowed) return { metres: best.state[3 + i] as number, sd }
    return { cannotTell: `known to ${sd.toPrecision(2)} m only, ${allowed.toPrecision(2)} m are needed` }
  }
  return { right: part(0), down: part(1), forward: part(2) }
}

function none(cannotTell: string): Went {
  return { right: { cannotTell }, down: { cannotTell }, forward: { cannotTell } }
}

/** State: turned about x, y, z (radians), gone right, down, forward (m). */
function solve(f: number, seen: readonly Seen[]): { state: number[]; covariance: Matrix } | undefined {
  const state = [0, 0, 0, 0, 0, 0]
  let covariance = Matrix.zeros(6, 6)
  for (let round = 0; round < ROUNDS; round++) {
    const normal = Matrix.diag(BEFOREHAND.map((sd) => 1 / sd ** 2))
    const right = Matrix.columnVector(state.map((v, i) => -v / (BEFOREHAND[i] as number) ** 2))
    for (const s of seen) {
      const here = shown(f, s, state)
      if (here === undefined) return undefined
      const slopes = state.map((_, i) => slope(f, s, state, i, here))
      const weight = 1 / Math.max(s.sd, LEAST_SD) ** 2
      for (const axis of [0, 1] as const) {
        const off = s.to[axis] - here[axis]
        const own = slopes.map((v) => v[axis])
        for (const [i, a] of own.entries()) {
          right.set(i, 0, right.get(i, 0) + weight * (a * off))
          for (const [j, b] of own.entries()) normal.set(i, j, normal.get(i, j) + weight * (a * b))
        }
      }
    }
    const factors = new CholeskyDecomposition(normal)
    if (!factors.isPositiveDefinite()) return undefined
    const step = factors.solve(right)
    for (let i = 0; i < 6; i++) state[i] = (state[i] as number) + step.get(i, 0)
    covariance = factors.solve(Matrix.eye(6))
    if (Math.sqrt(step.dot(step)) < 1e-10) break
  }
  return { state, covariance }
}

const STEP = 1e-5

function slope(
  f: number,
  s: Seen,
  state: readonly number[],
  i: number,
  here: readonly [number, number],
): [number, number] {
  const there = shown(
    f,
    s,
    state.map((v, k) => (k === i ? v + STEP : v)),
  )
  return there === undefined ? [0, 0] : [(there[0] - here[0]) / STEP, (there[1] - here[1]) / STEP]
}

/** Where a place of the reference frame shows from a state; undefined behind the camera. */
function shown(
  f: number,
  s: Seen,
  [a, b, c, right, down, forward]: readonly number[],
): [number, number] | undefined {
  const d = s.distanceM
  const p = [
    (s.from[0] * d) / f - (right as number),
    (s.from[1] * d) / f - (down as number),
    d - (forward as number),
  ] as const
  const [x, y, z] = turned(p, a as number, b as number, c as number)
  return z <= 1e-6 ? undefined : [(f * x) / z, (f * y) / z]
}

/** About x, then y, then z. */
function turned(
  [x, y, z]: readonly [number, number, number],
  a: number,
  b: number,
  c: number,
): [number, number, number] {
  const [y1, z1] = [y * Math.cos(a) - z * Math.sin(a), y * Math.sin(a) + z * Math.cos(a)]
  const [x2, z2] = [x * Math.cos(b) + z1 * Math.sin(b), z1 * Math.cos(b) - x * Math.sin(b)]
  return [x2 * Math.cos(c) - y1 * Math.sin(c), x2 * Math.sin(c) + y1 * Math.cos(c), z2]
}
