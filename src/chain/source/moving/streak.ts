/**
 * The streak of a fast edge given back where the key cut it hard: nearly whole became whole, nearly bare became bare.
 *
 *   L = s · |v|                           v  motion, px a frame    s  part of a frame for which the shutter is open
 *   α′ = (t − t₀) / L + ½, held to 0…1    t  place on the line along the motion    t₀  from what the key saw well, α 0.2 to 0.75
 *
 * Only where a whole edge lies on the line, body on the one side and nothing on the other: what is thinner than its streak keeps its own
 * matte. In the middle of the streak, α 0.3 to 0.7, the key's own stays.
 *
 * Where nobody says it, s is measured on the frame: the median of 1 / (slope of what the key saw well · |v|). Source: a box in time on a
 * straight edge, common practice; limits are choices.
 */
import { type FloatImage, median } from '../../../core/index.js'
import { BLOCK, type Ways } from './ways.js'

/** What the key sees well. */
const SEEN = [0.2, 0.75] as const
/** Shorter than that a streak is not told from a soft edge, px; from twice as much on it counts in full. */
const SHORTEST = 5
/** Root mean square by which the line may miss what was seen well; at twice as much it counts for nothing. */
const MISSED = 0.05
/** Px beyond the streak's end where all must be whole, or bare. */
const BEYOND = 3
const LEAST_SEEN = 3
/** Of lines that measure the shutter: least of them, fastest px a frame from which, and share they may differ by. */
const LINES = 24
const FAST = 10
const APART = 0.25
const FULL = 1

export interface Streaks {
  /** Coverage a pixel. */
  readonly alpha: Float32Array
  /** Part of a frame, where it was measured or given and anything is fast enough to tell. */
  readonly shutter?: number
}

interface Field {
  readonly width: number
  readonly height: number
  readonly alpha: Float32Array
}

/**
 * @param alpha of every pixel @param before, after ways to the frames beside; one is enough
 * @param shutter part of a frame; undefined measures it
 */
export function streaksBack(
  { region: { width, height } }: Pick<FloatImage, 'region'>,
  alpha: Float32Array,
  before: Ways | undefined,
  after: Ways | undefined,
  shutter: number | undefined,
): Streaks {
  const speed = speedOf(before, after)
  if (speed === undefined) return { alpha }
  const field = { width, height, alpha }
  const open = shutter ?? measured(field, speed)
  if (open === undefined) return { alpha }
  const out = alpha.slice()
  const v = new Float64Array(2)
  for (let y = 0, p = 0; y < height; y++)
    for (let x = 0; x < width; x++, p++) {
      if (!speed(x, y, v)) continue
      const fast = Math.sqrt(v[0]! * v[0]! + v[1]! * v[1]!)
      const length = open * fast
      if (length < SHORTEST) continue
      const line = { x, y, ux: v[0]! / fast, uy: v[1]! / fast }
      const edge = edgeOn(field, line, length)
      if (edge === undefined) continue
      const model = Math.min(Math.max(0.5 - (edge.rises * edge.middle) / length, 0), 1)
      const outer = Math.min(Math.max((Math.abs(2 * model - 1) - 0.4) / 0.3, 0), 1)
      const sure = Math.min(Math.max(2 - edge.missed / MISSED, 0), 1)
      const part = outer * sure * Math.min(length / SHORTEST - 1, 1)
      out[p] = alpha[p]! + part * (model - alpha[p]!)
    }
  return { alpha: out, shutter: open }
}

/** Mean motion of the blocks about a pixel, px a frame; false where none is known. */
function speedOf(before: Ways | undefined, after: Ways | undefined) {
  const any = after ?? before
  if (any === undefined) return undefined
  const { columns, rows } = any
  const known = [
    ...(before === undefined ? [] : [{ ways: before, sign: -1 }]),
    ...(after === undefined ? [] : [{ ways: after, sign: 1 }]),
  ]
  return (x: number, y: number, out: Float64Array): boolean => {
    const [i, j] = [Math.floor((x + 0.5) / BLOCK - 0.5), Math.floor((y + 0.5) / BLOCK - 0.5)]
    let [dx, dy, all] = [0, 0, 0]
    for (let k = 0; k < 4; k++) {
      const [bi, bj] = [i + (k & 1), j + (k >> 1)]
      if (bi < 0 || bj < 0 || bi >= columns || bj >= rows) continue
      const b = bj * columns + bi
      const [u, v] = [(x + 0.5) / BLOCK - 0.5 - bi, (y + 0.5) / BLOCK - 0.5 - bj]
      for (const { ways, sign } of known) {
        const w = (1 - Math.abs(u)) * (1 - Math.abs(v)) * ways.close[b]!
        dx += w * sign * ways.dx[b]!
        dy += w * sign * ways.dy[b]!
        all += w
      }
    }
    if (all < 0.1) return false
    out[0] = dx / all
    out[1] = dy / all
    return true
  }
}

interface Line {
  readonly x: number
  readonly y: number
  readonly ux: number
  readonly uy: number
}

interface Edge {
  /** Where it is half, from the line's start, px. */
  readonly middle: number
  /** 1 where it becomes whole along the motion, −1 where it becomes bare. */
  readonly rises: 1 | -1
  /** Root mean square. */
  readonly missed: number
}

/** The whole edge on a line along the motion that its start belongs to. */
function edgeOn(field: Field, line: Line, length: number): Edge | undefined {
  const reach = length / 2 + BEYOND
  const half = halfOn(field, line, reach)
  if (half === undefined) return undefined
  const rises = at(field, line, half + 1) > at(field, line, half - 1) ? 1 : -1
  if (at(field, line, half + rises * reach) < 0.95 || at(field, line, half - rises * reach) > 0.05)
    return undefined
  let [sum, squares, n] = [0, 0, 0]
  for (const way of [-1, 1])
    for (let t = half + (way > 0 ? 0 : -1); Math.abs(t - half) <= reach; t += way) {
      const a = at(field, line, t)
      if (a < SEEN[0] || a > SEEN[1]) break
      const here = t - rises * (a - 0.5) * length
      sum += here
      squares += here * here
      n++
    }
  if (n < LEAST_SEEN) return undefined
  const middle = sum / n
  const missed = Math.sqrt(Math.max(squares / n - middle * middle, 0)) / length
  return { middle, rises: rises as 1 | -1, missed }
}

/** Where coverage passes ½ nearest to the start, within `reach`. */
function halfOn(field: Field, line: Line, reach: number): number | undefined {
  let [up, down] = [at(field, line, 0), at(field, line, 0)]
  for (let t = 1; t <= reach + 1; t++) {
    const [a, b] = [at(field, line, t), at(field, line, -t)]
    if (a < 0.5 !== up < 0.5) return t - 1 + (0.5 - up) / (a - up)
    if (b < 0.5 !== down < 0.5) return -(t - 1 + (0.5 - down) / (b - down))
    ;[up, down] = [a, b]
  }
  return undefined
}

/** Coverage on a line, between pixels, held at the border. */
function at({ width, height, alpha }: Field, { x, y, ux, uy }: Line, t: number): number {
  const u = Math.min(Math.max(x + t * ux, 0), width - 1)
  const v = Math.min(Math.max(y + t * uy, 0), height - 1)
  const [i, j] = [Math.floor(u), Math.floor(v)]
  const [a, b] = [u - i, v - j]
  const p = j * width + i
  const [right, below] = [a > 0 ? 1 : 0, b > 0 ? width : 0]
  return (
    (1 - b) * ((1 - a) * alpha[p]! + a * alpha[p + right]!) +
    b * ((1 - a) * alpha[p + below]! + a * alpha[p + below + right]!)
  )
}

/** The shutter by the slopes of fast edges. */
function measured(field: Field, speed: NonNullable<ReturnType<typeof speedOf>>): number | undefined {
  const { width, height, alpha } = field
  const found: number[] = []
  const v = new Float64Array(2)
  for (let y = 0, p = 0; y < height; y++)
    for (let x = 0; x < width; x++, p++) {
      if (alpha[p]! < 0.4 || alpha[p]! > 0.6 || !speed(x, y, v)) continue
      const fast = Math.sqrt(v[0]! * v[0]! + v[1]! * v[1]!)
      if (fast < FAST) continue
      const length = lengthOn(field, { x, y, ux: v[0]! / fast, uy: v[1]! / fast }, fast)
      if (length !== undefined) found.push(length / fast)
    }
  if (found.length < LINES) return undefined
  const middle = median(found)
  const spread = median(found.map((f) => Math.abs(f - middle)))
  return middle <= FULL && spread < APART * middle ? middle : undefined
}

/** Length of the edge on a line that starts at its middle, by a straight line through what the key saw well. */
function lengthOn(field: Field, line: Line, fast: number): number | undefined {
  const reach = fast / 2 + BEYOND
  let [n, t1, a1, tt, ta] = [0, 0, 0, 0, 0]
  for (const way of [-1, 1])
    for (let t = way > 0 ? 0 : -1; Math.abs(t) <= reach; t += way) {
      const a = at(field, line, t)
      if (a < SEEN[0] || a > SEEN[1]) break
      n++
      t1 += t
      a1 += a
      tt += t * t
      ta += t * a
    }
  if (n < LEAST_SEEN) return undefined
  const slope = (n * ta - t1 * a1) / Math.max(n * tt - t1 * t1, 1e-9)
  const length = 1 / Math.max(Math.abs(slope), 1e-6)
  const rises = slope > 0 ? 1 : -1
  const end = length / 2 + BEYOND
  if (length > fast || at(field, line, rises * end) < 0.95 || at(field, line, -rises * end) > 0.05)
    return undefined
  return length
}
