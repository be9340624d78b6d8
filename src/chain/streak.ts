/** Shutter link of an element: the ways that its light goes while the shutter is open, in the plate before the lens bends it. */
import { median, POINTWISE, type Reach, type Region } from '../core/index.js'
import { type StreakMap, streakedRegion, streakMap, streakSource } from '../kernels/index.js'
import { type Bend, bendReach } from './lens/bend.js'
import { type Exposed, placed, standsAt } from './place/raster/map.js'
import { lookUp, type OwnMotion } from './shutter/ownMotion/model.js'

/** Pixels between nodes: what carries an element bends its ways far less than a lens bends lines. */
const STEP = 32

/** Pixels between nodes where what is in its picture moves by itself too. */
const OWN_STEP = 8

/** What goes by itself in a picture that is carried besides. */
export interface GoesToo {
  readonly motion: OwnMotion
  /** Frames of its file that pass while the plate's shutter is open, and while its own was. */
  readonly open: number
  readonly had: number
  /** Of the picture that is drawn. */
  readonly size: { readonly width: number; readonly height: number }
}

/**
 * What is seen at p at a moment lies in the middle's picture where that part of the element lies then; where it goes by itself, where
 * that lies in the middle. So one streak goes the sum of both ways w, shorter by what the picture brings of it:
 *
 *   L² = w² − (h·w/|w|)²      h  the streak that its own shutter has left, px
 *
 * Two streaks one after the other would blur what goes one way as fast as it is carried the other, and so stands still.
 *
 * @param near plate pixels that can be wanted of it on this frame, whatever part is
 */
function streakOf({ map, ends }: Exposed, near: Region, goes: GoesToo | undefined): StreakMap | undefined {
  if (ends === undefined) return undefined
  const [from, to] = ends.map(standsAt) as [ReturnType<typeof standsAt>, ReturnType<typeof standsAt>]
  const own = goes && ownWays(goes)
  return streakMap(near, own === undefined ? STEP : OWN_STEP, (x, y, out) => {
    const [e, f] = [from(x, y), to(x, y)]
    const [a, b] = [placed(map, ...e), placed(map, ...f)]
    const ways: Four = [a[0] - x, a[1] - y, b[0] - x, b[1] - y]
    const [c, d] = own === undefined ? [e, f] : [own(e, 0), own(f, 2)]
    const [u, v] = own === undefined ? [a, b] : [placed(map, ...c), placed(map, ...d)]
    const all: Four = [u[0] - x, u[1] - y, v[0] - x, v[1] - y]
    const left = goes === undefined ? 1 : leftOf(all, ways, goes.had / goes.open)
    // Where nothing of its plane is seen nothing goes any way.
    out.set(all.every(Number.isFinite) ? all.map((n) => left * n) : NOWHERE)
  })
}

type Four = readonly [number, number, number, number]
type Point = readonly [number, number]

/** Where what lies at a place of the element at the beginning (0) or the end (2) lies in the middle. */
function ownWays({ motion, open, size }: GoesToo): (at: Point, c: 0 | 2) => Point {
  const at = lookUp(motion)
  const factor = size.width / motion.width
  const way = new Float64Array(4)
  return ([x, y], c) => {
    if (!Number.isFinite(x) || !Number.isFinite(y)) return [x, y]
    at(
      (x - size.width / 2) / factor + motion.width / 2,
      (y - size.height / 2) / factor + motion.height / 2,
      way,
    )
    return [x - (open / 2) * factor * (way[c] as number), y - (open / 2) * factor * (way[c + 1] as number)]
  }
}

/** Share of the whole streak's length that the picture does not bring. @param had of its own motion's streak */
function leftOf(all: Four, carried: Four, had: number): number {
  const along = (f: Four): Point => [f[2] - f[0], f[3] - f[1]]
  const [w, v] = [along(all), along(carried)]
  const square = w[0] * w[0] + w[1] * w[1]
  if (square === 0) return 0
  const brought = (had * ((w[0] - v[0]) * w[0] + (w[1] - v[1]) * w[1])) / square
  return Math.sqrt(Math.max(1 - brought * brought, 0))
}

const NOWHERE = [0, 0, 0, 0]

/** The same of all that the lens can show in the frame. */
export function streakIn(
  frame: Region,
  bend: Bend | undefined,
  stand: Exposed,
  goes: GoesToo | undefined,
): StreakMap | undefined {
  return streakOf(stand, bendReach(bend).needs(frame), goes)
}

export function streakReach(map: StreakMap | undefined): Reach {
  if (map === undefined) return POINTWISE
  return { needs: (r) => streakSource(map, r), touches: (r) => streakedRegion(map, r) }
}

/** How long its streaks are, px: the median of its nodes. */
export function middleLength({ columns, rows, ends }: StreakMap): number {
  const nodes = columns * rows
  const one = (node: number) => {
    const [ax = 0, ay = 0, bx = 0, by = 0] = [0, 1, 2, 3].map((c) => ends[c * nodes + node])
    return Math.hypot(bx - ax, by - ay)
  }
  return median(Float64Array.from({ length: nodes }, (_, node) => one(node)))
}

/** How long the streak is at a place of the map, px: at its nearest node. */
export function lengthAt({ frame, step, columns, rows, ends }: StreakMap, x: number, y: number): number {
  const at = (v: number, first: number, count: number) =>
    Math.min(Math.max(Math.round((v - first) / step), 0), count - 1)
  const node = at(y, frame.y, rows) * columns + at(x, frame.x, columns)
  const [ax = 0, ay = 0, bx = 0, by = 0] = [0, 1, 2, 3].map((c) => ends[c * columns * rows + node])
  return Math.hypot(bx - ax, by - ay)
}
