/** From what was seen of a track to its motion on every frame. */
import type { TrackData, TrackFrame } from '../../shot/index.js'
import type { Matrix, Place } from '../../vision/index.js'
import type { Correction } from './follower.js'
import { middle, through, UNMOVED } from './matrix.js'

/** What was seen of a track, in pixels of a plate without lens distortion. */
export interface Evidence {
  readonly reference: number
  readonly frames: { readonly first: number; readonly count: number }
  readonly points: readonly SeenPoint[]
  readonly motion?: TrackData['motion']
  readonly corrections: readonly Correction[]
  /** Frames too blurred to believe what was seen on them. */
  readonly hidden: readonly number[]
  /** Frames with which another picture begins. */
  readonly cuts: readonly number[]
}

export interface SeenPoint {
  readonly from: Place
  readonly seen: readonly (readonly [frame: number, x: number, y: number, spread: number])[]
}

export type Solved = Pick<TrackData, 'motion' | 'why' | 'frames' | 'said'>

/** A gap longer than this many frames is not carried over. */
const BRIDGED = 40

export function solveTrack(evidence: Evidence): Solved {
  const { first, count } = evidence.frames
  const known = Array.from({ length: count }, (_, i) => fitted(evidence, first + i))
  const frames = known.map((k, i) => k ?? carried(evidence, known, first, i))
  const [motion, why] = kindOf(evidence)
  return { motion, why, frames, said: [] }
}

function kindOf({ points }: Evidence): [TrackData['motion'], string] {
  if (points.length === 1) return ['translation', 'one point tells where it is and nothing else']
  if (points.length < 4) return ['similarity', `${points.length} points tell place, turn and size`]
  return ['affine', `${points.length} points`]
}

function fitted({ points, reference }: Evidence, frame: number): TrackFrame | undefined {
  const at = { frame, state: 'tracked' as const }
  if (frame === reference)
    return { ...at, matrix: [...UNMOVED], spreadPx: 0, agree: points.length, seen: points.length }
  const pairs = points.flatMap(({ from, seen }) => {
    const s = seen.find(([f]) => f === frame)
    return s === undefined ? [] : [{ from, to: [s[1], s[2]] as Place, spread: s[3] }]
  })
  if (pairs.length === 0 || pairs.length < Math.min(2, points.length)) return undefined
  const matrix = points.length < 4 ? similarity(pairs) : (affine(pairs) ?? similarity(pairs))
  const off = pairs.map(({ from, to }) => {
    const [x, y] = through(matrix, from)
    return (x - to[0]) ** 2 + (y - to[1]) ** 2
  })
  const spread = Math.max(middle(pairs.map((p) => p.spread)), Math.sqrt(middle(off) / 2)) / Math.sqrt(pairs.length)
  return { ...at, matrix: [...matrix], spreadPx: spread, agree: pairs.length, seen: pairs.length }
}

interface Pair {
  readonly from: Place
  readonly to: Place
}

function means(pairs: readonly Pair[]) {
  const mean = (of: (p: Pair) => number) => pairs.reduce((sum, p) => sum + of(p), 0) / pairs.length
  return [mean((p) => p.from[0]), mean((p) => p.from[1]), mean((p) => p.to[0]), mean((p) => p.to[1])] as const
}

/** Least squares. */
function similarity(pairs: readonly Pair[]): Matrix {
  const [mx, my, nx, ny] = means(pairs)
  let [a, b, n] = [0, 0, 0]
  for (const { from, to } of pairs) {
    const [x, y, u, v] = [from[0] - mx, from[1] - my, to[0] - nx, to[1] - ny]
    a += x * u + y * v
    b += x * v - y * u
    n += x * x + y * y
  }
  const [c, s] = n > 0 ? [a / n, b / n] : [1, 0]
  return [c, -s, nx - c * mx + s * my, s, c, ny - s * mx - c * my, 0, 0, 1]
}

/** Least squares; nothing where the points lie on a line. */
function affine(pairs: readonly Pair[]): Matrix | undefined {
  const [mx, my, nx, ny] = means(pairs)
  let [xx, xy, yy, xu, yu, xv, yv] = [0, 0, 0, 0, 0, 0, 0]
  for (const { from, to } of pairs) {
    const [x, y, u, v] = [from[0] - mx, from[1] - my, to[0] - nx, to[1] - ny]
    xx += x * x
    xy += x * y
    yy += y * y
    xu += x * u
    yu += y * u
    xv += x * v
    yv += y * v
  }
  const det = xx * yy - xy * xy
  if (!(det > 1e-3 * (xx + yy) ** 2)) return undefined
  const [a, b] = [(xu * yy - yu * xy) / det, (yu * xx - xu * xy) / det]
  const [c, d] = [(xv * yy - yv * xy) / det, (yv * xx - xv * xy) / det]
  return [a, b, nx - a * mx - b * my, c, d, ny - c * mx - d * my, 0, 0, 1]
}

/** Straight between two frames that are known; lost where there is none on a side, or the gap is long. */
function carried(
  { cuts }: Evidence,
  known: readonly (TrackFrame | undefined)[],
  first: number,
  i: number,
): TrackFrame {
  let [a, b] = [i, i]
  while (a >= 0 && known[a] === undefined) a--
  while (b < known.length && known[b] === undefined) b++
  const [before, after] = [known[a], known[b]]
  const cut = cuts.some((c) => c > a + first && c <= b + first)
  if (before !== undefined && after !== undefined && b - a <= BRIDGED && !cut) {
    const t = (i - a) / (b - a)
    const matrix = before.matrix.map((v, k) => v + t * ((after.matrix[k] as number) - v))
    const spreadPx = Math.max(before.spreadPx, after.spreadPx) + Math.min(i - a, b - i) * 0.2
    return { frame: first + i, state: 'bridged', matrix, spreadPx, agree: 0, seen: 0 }
  }
  const last = before ?? after
  return {
    ...{ frame: first + i, state: 'lost', agree: 0, seen: 0 },
    ...{ matrix: last === undefined ? [...UNMOVED] : [...last.matrix], spreadPx: last?.spreadPx ?? 0 },
  }
}
