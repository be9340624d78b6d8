/**
 * Over a gap: where the corners lie between two frames that are known, T frames apart, t after the first.
 *
 *   straight  (1 − τ)·a + τ·b                                   variance  q·t·(T − t) / T              τ = t / T
 *   smooth    cubic through a and b with the speeds there       variance  q·t³·(T − t)³ / (3·T³)
 *
 * These are the mean and the variance, given both ends, of a random walk of the place, and of one of the speed. The shot itself
 * says which: frames that are known are taken for a gap of the same length, wherever there is room for one, and the way whose
 * errors were the least is taken, with q from those errors (so the spread is measured, and the law only says how it goes over the
 * gap). The smooth way takes its speeds over 1 or over 4 frames. Where there is no room for gaps as long, shorter ones tell; where
 * there is none at all, the walk is as long as its ends lie apart.
 *
 * Source: [wahba1978] (a cubic spline is the mean of a random walk of the speed); the variances by conditioning on both ends.
 */
import { meanSquare, mixed, type Where } from './path.js'

/** A bridge that is told to be farther off than that, px, is none: an element would be seen to slide. Our choice. */
export const WIDEST_PX = 2

/** Where the shot is too short to say how far a bridge is off, one over so few frames counts nevertheless: its walk is but a bound. */
const FEW = 4

export type BridgeState = 'bridged' | 'lost'

/** What a frame in a bridge is. @param variance with that of its ends, px² */
function stateOver({ told, where }: Bridge, variance: number, widest = WIDEST_PX): BridgeState {
  return variance > widest * widest && (told || where.length > FEW) ? 'lost' : 'bridged'
}

/** Frames over which the speed at an end is taken; 0: straight. */
const SPANS = [0, 1, 4]
/** As many gaps are tried out at least, before a length is believed. */
const LEAST_TRIALS = 8
/** Beyond so many times the usual error of going on from one side, something else happened in the gap. */
const JUMP_TIMES = 6
const JUMP_PX = 2

export interface Bridge {
  /** Of the frames between both ends, in order. */
  readonly where: readonly Where[]
  /** What the gap adds to the spread of its ends: variance along an axis, px². */
  readonly variance: readonly number[]
  /** The shot itself tells how far it is off. */
  readonly told: boolean
}

type Path = readonly (Where | undefined)[]

/** Known frames, and between those of a piece what the bridges over its gaps come to; what is left stays unknown. */
export function withBridges<T extends { readonly variance: number }>(
  known: readonly (T | undefined)[],
  path: Path,
  piece: readonly number[],
  of: (where: Where, variance: number, state: BridgeState) => T | undefined,
  widest?: number,
): (T | undefined)[] {
  const out = [...known]
  const at = known.flatMap((k, i) => (k ? [i] : []))
  at.forEach((a, n) => {
    const b = at[n + 1]
    if (b === undefined || b === a + 1 || piece[a] !== piece[b]) return
    const bridge = bridged(path, a, b, piece)
    bridge?.where.forEach((where, k) => {
      const t = (k + 1) / (b - a)
      const ends = (1 - t) * (known[a] as T).variance + t * (known[b] as T).variance
      const variance = ends + (bridge.variance[k] as number)
      const one = of(where, variance, stateOver(bridge, variance, widest))
      if (one !== undefined) out[a + 1 + k] = one
    })
  })
  return out
}

/**
 * @param path where the corners lie, by frame; undefined where it is not known
 * @param from, to the known frames on both sides
 * @param piece of the shot by frame: what lies in different pieces has no motion in common
 * @returns undefined where the ends are too far apart for the shot's own motion: it jumped within
 */
export function bridged(path: Path, from: number, to: number, piece: readonly number[]): Bridge | undefined {
  const length = to - from
  const way = wayOver(path, length, piece)
  const [a, b] = [path[from] as Where, path[to] as Where]
  if (way !== undefined) {
    const gone = meanSquare(mixed(1, b, -1, goneOn(path, from, length, way.span, piece) ?? a))
    if (
      gone >
      Math.max(JUMP_PX ** 2, JUMP_TIMES ** 2 * way.goneOn * (length / way.length) ** (way.span === 0 ? 2 : 3))
    )
      return undefined
  }
  const span = way && between(path, from, to, 1, way.span, piece) ? way.span : 0
  const q = way?.q ?? meanSquare(mixed(1, b, -1, a)) / length
  const inner = Array.from({ length: length - 1 }, (_, i) => i + 1)
  return {
    where: inner.map((t) => between(path, from, to, t, span, piece) as Where),
    variance: inner.map((t) => q * law(way?.span ?? 0, t, length)),
    told: way !== undefined,
  }
}

interface Way {
  readonly span: number
  readonly q: number
  /** Length of the gaps that were tried. */
  readonly length: number
  /** Mean square error at the far end when the motion is only gone on with from the near one, px². */
  readonly goneOn: number
}

function wayOver(path: Path, wanted: number, piece: readonly number[]): Way | undefined {
  for (let length = wanted; length >= 2; length = length > 4 ? Math.floor(length * 0.75) : length - 1) {
    const ways = SPANS.flatMap((span) => tried(path, length, span, piece))
    if (ways.length > 0) return ways.reduce((best, w) => (w.error < best.error ? w : best))
  }
  return undefined
}

function tried(
  path: Path,
  length: number,
  span: number,
  piece: readonly number[],
): readonly (Way & { error: number })[] {
  const times = [
    ...new Set(
      [length / 4, length / 2, (3 * length) / 4].map((t) => Math.min(Math.max(Math.round(t), 1), length - 1)),
    ),
  ]
  let [trials, count, error, q, gone] = [0, 0, 0, 0, 0]
  for (let from = 0; from + length < path.length; from++) {
    // The widest span's ends are asked of all ways, so that they are tried on the same gaps.
    if (!SPANS.every((s) => between(path, from, from + length, 1, s, piece))) continue
    const ahead = goneOn(path, from, length, span, piece) as Where
    gone += meanSquare(mixed(1, path[from + length] as Where, -1, ahead))
    trials++
    for (const t of times) {
      const truth = path[from + t]
      if (truth === undefined) continue
      const square = meanSquare(
        mixed(1, truth, -1, between(path, from, from + length, t, span, piece) as Where),
      )
      error += square
      q += square / law(span, t, length)
      count++
    }
  }
  return trials >= LEAST_TRIALS && count >= LEAST_TRIALS
    ? [{ span, q: q / count, length, goneOn: gone / trials, error: error / count }]
    : []
}

function law(span: number, t: number, length: number): number {
  const rest = t * (length - t)
  return span === 0 ? rest / length : rest ** 3 / (3 * length ** 3)
}

function between(
  path: Path,
  from: number,
  to: number,
  t: number,
  span: number,
  piece: readonly number[],
): Where | undefined {
  const [a, b] = [path[from], path[to]]
  if (!a || !b || piece[from] !== piece[to]) return undefined
  const s = t / (to - from)
  if (span === 0) return mixed(1 - s, a, s, b)
  const [va, vb] = [speed(path, from - span, from, piece), speed(path, to, to + span, piece)]
  if (!va || !vb) return undefined
  const [h, k] = [to - from, s * s * (3 - 2 * s)]
  const bend = mixed(h * s * (1 - s) * (1 - s), va, -h * s * s * (1 - s), vb)
  return mixed(1, mixed(1 - k, a, k, b), 1, bend)
}

function goneOn(
  path: Path,
  from: number,
  length: number,
  span: number,
  piece: readonly number[],
): Where | undefined {
  const here = path[from] as Where
  if (span === 0) return here
  const v = speed(path, from - span, from, piece)
  return v && mixed(1, here, length, v)
}

function speed(path: Path, from: number, to: number, piece: readonly number[]): Where | undefined {
  const [a, b] = [path[from], path[to]]
  return a && b && piece[from] === piece[to] ? mixed(1 / (to - from), b, -1 / (to - from), a) : undefined
}
