/**
 * A shape on one frame: its outline at moments spread evenly over the time that the shutter is open, the middle of which is the
 * frame's own. What was drawn or tracked on a frame lies in the middle of its blur, so this is where the frame's key stands.
 *
 * Between frames every point goes straight. Moments are as many as the mean over them needs to be right within 1/255: the error of
 * a mean over N middles is that of the midpoint rule, m / (8·N²) at a sharp border that moves m px, less the softer it is.
 */
import type { Region } from '../../../core/index.js'
import { bendsOf, flatten, type Line, type Moment } from './outline.js'

export interface ShapeKey {
  readonly frame: number
  readonly points: readonly (readonly [number, number])[]
}

export interface Shape {
  readonly kind: 'polygon' | 'spline'
  /** Width of the soft border, px. */
  readonly featherPx: number
  /** At least one, forward in time, of as many points each. */
  readonly keys: readonly ShapeKey[]
}

type Move = (x: number, y: number) => readonly [number, number]

/** What happens to an outline besides its keys. */
export interface Carriage {
  /** Where a track carries each point to on a frame; undefined where none does. */
  readonly carry?: ((frame: number) => Move) | undefined
  /** Where the plate's lens draws a point; undefined where it bends nothing. */
  readonly drawn?: Move | undefined
  /** Share of the time between two frames that the shutter is open, 0 to 1. */
  readonly open: number
}

export interface ShapeAt {
  readonly featherPx: number
  readonly moments: readonly Moment[]
  /** Everything that it can cover lies in here. */
  readonly box: Region
}

/** Moves below this are none, px. */
const STILL = 1 / 64
const MOST_MOMENTS = 256

export function shapeAt(shape: Shape, frame: number, carriage: Carriage): ShapeAt {
  const points = [-1, 0, 1].map((k) => pointsAt(shape, frame + k, carriage.carry?.(frame + k)))
  const straight = flatten(points, shape.kind === 'spline')
  const drawn =
    carriage.drawn === undefined ? straight : straight.map((l) => moved(l, carriage.drawn as Move))
  const [before, now, after] = drawn as [Line, Line, Line]
  const move = (carriage.open / 2) * Math.max(farthest(now, before), farthest(now, after))
  const count = carriage.open === 0 || move < STILL ? 1 : momentsFor(2 * move, shape.featherPx)
  const lines = Array.from({ length: count }, (_, i) => {
    const t = count === 1 ? 0 : carriage.open * ((i + 0.5) / count - 0.5)
    return t < 0 ? between(now, before, -t) : between(now, after, t)
  })
  const moments = lines.map((line) => ({ line, bends: bendsOf(line) }))
  return { featherPx: shape.featherPx, moments, box: boxOf(lines, shape.featherPx) }
}

/** How many moments a move of so many pixels during the exposure needs. */
export function momentsFor(movePx: number, featherPx: number): number {
  return Math.min(MOST_MOMENTS, Math.max(2, Math.ceil(12 * Math.sqrt(movePx / (1 + featherPx)))))
}

/** Points on a frame: linear between keys, held outside; then as the track carries them. */
export function pointsAt(
  { keys }: Pick<Shape, 'keys'>,
  frame: number,
  move: Move | undefined = undefined,
): Line {
  const last = keys.findLastIndex((k) => k.frame <= frame)
  const a = keys[Math.max(last, 0)] as ShapeKey
  const b = keys[last + 1] ?? a
  const t = b.frame > a.frame ? Math.min(Math.max((frame - a.frame) / (b.frame - a.frame), 0), 1) : 0
  const line = new Float64Array(2 * a.points.length)
  a.points.forEach(([x, y], i) => {
    const [x1, y1] = b.points[i] ?? [x, y]
    const [u, v] = [x + t * (x1 - x), y + t * (y1 - y)]
    line.set([u, v], 2 * i)
  })
  return move === undefined ? line : moved(line, move)
}

function moved(line: Line, move: Move): Line {
  const out = new Float64Array(line.length)
  for (let i = 0; i < line.length; i += 2) out.set(move(line[i] as number, line[i + 1] as number), i)
  return out
}

function between(a: Line, b: Line, t: number): Line {
  return t === 0 ? a : a.map((v, i) => v + t * ((b[i] as number) - v))
}

function farthest(a: Line, b: Line): number {
  let most = 0
  for (let i = 0; i < a.length; i += 2) {
    const dx = (a[i] as number) - (b[i] as number)
    const dy = (a[i + 1] as number) - (b[i + 1] as number)
    most = Math.max(most, dx * dx + dy * dy)
  }
  return Math.sqrt(most)
}

function boxOf(lines: readonly Line[], featherPx: number): Region {
  let [x0, y0, x1, y1] = [Infinity, Infinity, -Infinity, -Infinity]
  for (const line of lines) {
    for (let i = 0; i < line.length; i += 2) {
      x0 = Math.min(x0, line[i] as number)
      x1 = Math.max(x1, line[i] as number)
      y0 = Math.min(y0, line[i + 1] as number)
      y1 = Math.max(y1, line[i + 1] as number)
    }
  }
  const by = featherPx / 2 + 1
  const [x, y] = [Math.floor(x0 - by), Math.floor(y0 - by)]
  return { x, y, width: Math.ceil(x1 + by) - x, height: Math.ceil(y1 + by) - y }
}
