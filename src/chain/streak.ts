/** Shutter link of an element: the ways that its light goes while the shutter is open, in the plate before the lens bends it. */
import { median, POINTWISE, type Reach, type Region } from '../core/index.js'
import { type StreakMap, streakedRegion, streakMap, streakSource } from '../kernels/index.js'
import { type Bend, bendReach } from './lens/bend.js'
import { type Exposed, placed, standsAt } from './place/raster/map.js'

/** Pixels between nodes: what carries an element bends its ways far less than a lens bends lines. */
const STEP = 32

/**
 * What is seen at p at a moment lies in the middle's picture where that part of the element lies then.
 *
 * @param near plate pixels that can be wanted of it on this frame, whatever part is
 */
function streakOf({ map, ends }: Exposed, near: Region): StreakMap | undefined {
  if (ends === undefined) return undefined
  const [from, to] = ends.map(standsAt) as [ReturnType<typeof standsAt>, ReturnType<typeof standsAt>]
  return streakMap(near, STEP, (x, y, out) => {
    const [a, b] = [placed(map, ...from(x, y)), placed(map, ...to(x, y))]
    const ways = [a[0] - x, a[1] - y, b[0] - x, b[1] - y]
    // Where nothing of its plane is seen nothing goes any way.
    out.set(ways.every(Number.isFinite) ? ways : NOWHERE)
  })
}

const NOWHERE = [0, 0, 0, 0]

/** The same of all that the lens can show in the frame. */
export function streakIn(frame: Region, bend: Bend | undefined, stand: Exposed): StreakMap | undefined {
  return streakOf(stand, bendReach(bend).needs(frame))
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
