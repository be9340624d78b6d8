/**
 * A shape drawn by hand on some frames, carried to those between and beyond by the picture itself.
 *
 * From each key, frame by frame: a point goes where the flow says, then along the outline's normal to where the edge is that lay
 * under it on the key, as far as that is surer: by σ² / (σ² + σ²edge) of the way. What was found is held against the neighbours' and
 * left where it is far from them. The spread grows by the flow's own, σ² ← σ² + σ²flow, until the edge is found again: the edge is
 * always the key's, so nothing adds up.
 *
 * Between two keys both carry and are blended by w = nearness / σ², so each correction by hand improves its neighbours on both
 * sides. A way ends at the frame on which a point's spread exceeds the limit, and this is said.
 */
import { findEdge, type Luma, type Place, type Profile, profileAt } from './edge.js'

/** Where a point of one frame lies on the next. */
export interface Flowed {
  readonly to: Place
  /** Of the step; of a hidden one of the place itself. */
  readonly spreadPx: number
  /** Something stands before it: its place is told from the rest, and the edge that lies there is not the outline's. */
  readonly hidden?: boolean
}

/** By point, from frame to frame; undefined where it cannot tell. */
export type Flow = (
  points: readonly Place[],
  from: number,
  to: number,
) => Promise<readonly (Flowed | undefined)[]>

export interface DrawnKey {
  readonly frame: number
  readonly points: readonly Place[]
}

export interface CarriedKey extends DrawnKey {
  /** The largest of its points' standard deviations. */
  readonly carried: { readonly spreadPx: number }
}

/** A way that ended before it was done. */
export interface Stopped {
  readonly from: number
  /** The first frame that it did not reach. */
  readonly at: number
  readonly why: string
}

export interface CarryWork {
  /** Frames wanted, first and last. */
  readonly frames: readonly [number, number]
  /** Asked once for every way, which it then goes frame by frame. */
  readonly flow: (from: DrawnKey) => Promise<Flow>
  readonly luma: (frame: number) => Promise<Luma>
  /** Spread beyond which nothing is carried on, px. */
  readonly limitPx?: number
}

/** A choice: twice the width of an ordinary soft border. */
const LIMIT_PX = 3
/** Of a point whose flow is not known beside its neighbours' mean. */
const GUESSED_PX = 1
/** An edge found farther from its neighbours' than this is another one. */
const ODD_PX = 1.5

/** A carried outline with each point's spread. */
interface Step {
  readonly points: readonly Place[]
  readonly spreads: readonly number[]
}

/**
 * @param drawn keys drawn by hand, forward in time, the same number of points on each
 * @returns keys for the other frames that were reached, forward in time
 */
export async function carryShape(
  drawn: readonly DrawnKey[],
  work: CarryWork,
): Promise<{ keys: CarriedKey[]; stopped: Stopped[] }> {
  const [first, last] = work.frames
  const stopped: Stopped[] = []
  const keys: CarriedKey[] = []
  for (let k = -1; k < drawn.length; k++) {
    const [before, after] = [drawn[k], drawn[k + 1]]
    const from = Math.max(first, before === undefined ? first : before.frame + 1)
    const to = Math.min(last, after === undefined ? last : after.frame - 1)
    if (from > to) continue
    const there = before && (await way(before, to, work, stopped))
    const back = after && (await way(after, from, work, stopped))
    for (let n = from; n <= to; n++) {
      const nearness = before && after ? (after.frame - n) / (after.frame - before.frame) : 0.5
      const step = blended(there?.get(n), back?.get(n), nearness)
      if (step !== undefined)
        keys.push({ frame: n, points: step.points, carried: { spreadPx: Math.max(...step.spreads) } })
    }
  }
  return { keys, stopped }
}

/** From a key to a frame, as far as it goes. */
async function way(
  key: DrawnKey,
  to: number,
  work: CarryWork,
  stopped: Stopped[],
): Promise<Map<number, Step>> {
  const { limitPx = LIMIT_PX } = work
  const steps = new Map<number, Step>()
  const start = await work.luma(key.frame)
  const edges = normalsOf(key.points).map((n, i) => profileAt(start, key.points[i] as Place, n, false))
  const flow = await work.flow(key)
  let step: Step | undefined = { points: key.points, spreads: key.points.map(() => 0) }
  const by = to < key.frame ? -1 : 1
  for (let n = key.frame + by; by * (to - n) >= 0; n += by) {
    const moves = await flow(step.points, n - by, n)
    step = next(step, moves, edges, await work.luma(n))
    const worst = step === undefined ? Number.POSITIVE_INFINITY : Math.max(...step.spreads)
    if (step === undefined || worst > limitPx) {
      const why =
        step === undefined
          ? 'the flow of none of its points is known'
          : `${pointAt(step, worst)} is known to ${worst.toFixed(1)} px only, the limit is ${limitPx} px`
      stopped.push({ from: key.frame, at: n, why })
      break
    }
    steps.set(n, step)
  }
  return steps
}

/** Counted from 1, with its place. */
function pointAt({ points, spreads }: Step, spread: number): string {
  const i = spreads.indexOf(spread)
  const [x, y] = points[i] as Step['points'][number]
  return `point ${i + 1} of ${points.length} (about ${Math.round(x)}, ${Math.round(y)})`
}

function next(
  s: Step,
  found: readonly (Flowed | undefined)[],
  edges: readonly Profile[],
  luma: Luma,
): Step | undefined {
  const moves = s.points.map((p, i) => {
    const f = found[i]
    return f && { dx: f.to[0] - p[0], dy: f.to[1] - p[1], spread: f.spreadPx, hidden: f.hidden === true }
  })
  const known = moves.flatMap((m) => m ?? [])
  if (known.length === 0) return undefined
  const mean = (of: (m: (typeof known)[number]) => number) =>
    known.reduce((sum, m) => sum + of(m), 0) / known.length
  const guessed = {
    dx: mean((m) => m.dx),
    dy: mean((m) => m.dy),
    spread: mean((m) => m.spread) + GUESSED_PX,
    hidden: false,
  }
  const moved = s.points.map(([x, y], i): Place => {
    const { dx, dy } = moves[i] ?? guessed
    return [x + dx, y + dy]
  })
  const spreads = s.spreads.map((v, i) => {
    const { spread, hidden } = moves[i] ?? guessed
    return hidden ? spread : Math.sqrt(v * v + spread * spread)
  })
  return onEdges(
    { points: moved, spreads },
    edges.map((e, i) => (found[i]?.hidden === true ? undefined : e)),
    luma,
  )
}

/** Points drawn to the edges that lie near them, where those are found, as far as these are surer. */
function onEdges({ points, spreads }: Step, edges: readonly (Profile | undefined)[], luma: Luma): Step {
  const normals = normalsOf(points)
  const found = points.map((p, i) => {
    const edge = edges[i]
    return edge && findEdge(edge, profileAt(luma, p, normals[i] as Place, true))
  })
  const count = points.length
  const steps = points.map(([x, y], i) => {
    const v = spreads[i] as number
    const near = [-2, -1, 1, 2].flatMap((k) => found[(i + k + count) % count]?.by ?? [])
    const f = found[i]
    if (f === undefined || (near.length > 0 && Math.abs(f.by - median(near)) > ODD_PX))
      return { point: [x, y] as Place, spread: v }
    const [nx, ny] = normals[i] as Place
    const s2 = f.spreadPx * f.spreadPx
    const by = f.by * ((v * v) / (v * v + s2))
    return { point: [x + by * nx, y + by * ny] as Place, spread: Math.min(f.spreadPx, v) }
  })
  return { points: steps.map((s) => s.point), spreads: steps.map((s) => s.spread) }
}

/** Across the line through both neighbours. */
function normalsOf(points: readonly Place[]): Place[] {
  const count = points.length
  return points.map((_, i): Place => {
    const [ax, ay] = points[(i + count - 1) % count] as Place
    const [bx, by] = points[(i + 1) % count] as Place
    const length = Math.sqrt((bx - ax) ** 2 + (by - ay) ** 2)
    return length > 0 ? [(by - ay) / length, (ax - bx) / length] : [1, 0]
  })
}

/** @param nearness 1 at the first one's key, 0 at the second's */
function blended(a: Step | undefined, b: Step | undefined, nearness: number): Step | undefined {
  if (a === undefined || b === undefined) return a ?? b
  const floor = 0.05 // px: no way is sure beyond this
  const weights = a.spreads.map((v, i) => {
    const [wa, wb] = [
      nearness / (v * v + floor ** 2),
      (1 - nearness) / ((b.spreads[i] as number) ** 2 + floor ** 2),
    ]
    return wa / (wa + wb)
  })
  const apart = a.points.map(([x, y], i) => {
    const [u, v] = b.points[i] as Place
    return [u - x, v - y] as const
  })
  return {
    points: a.points.map(([x, y], i): Place => {
      const [dx, dy] = apart[i] as Place
      const rest = 1 - (weights[i] as number)
      return [x + rest * dx, y + rest * dy]
    }),
    spreads: a.spreads.map((v, i) => {
      const w = weights[i] as number
      const [dx, dy] = apart[i] as Place
      // Both ways' own, and how far they are from one another.
      return Math.sqrt(
        (w * v) ** 2 + ((1 - w) * (b.spreads[i] as number)) ** 2 + w * (1 - w) * (dx * dx + dy * dy),
      )
    }),
  }
}

function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b)
  const half = sorted.length >> 1
  return sorted.length % 2 === 1
    ? (sorted[half] as number)
    : ((sorted[half - 1] as number) + (sorted[half] as number)) / 2
}
