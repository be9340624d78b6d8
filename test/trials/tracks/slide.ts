/** What is left between where a thing lies and where the plate beside it says that it should, over a shot. */
import type { Place } from './match.js'

export interface Slide {
  readonly frames: number
  /** Root mean square along an axis, and the largest, px. */
  readonly rms: number
  readonly worst: number
  readonly worstFrame: number
  /** What a straight line through it rises by from the first frame to the last, px. */
  readonly trend: number
  /** Root mean square of what a frame lies off the mean of its neighbours, px. */
  readonly jitter: number
}

export function slideOf(off: readonly (Place | undefined)[]): Slide {
  const known = off.flatMap((o, frame) => (o === undefined ? [] : [{ frame, o }]))
  const n = known.length
  const squares = known.map(({ o }) => (o[0] ** 2 + o[1] ** 2) / 2)
  const worst = squares.indexOf(Math.max(...squares))
  const bends = known.flatMap(({ frame, o }) => {
    const [a, b] = [off[frame - 1], off[frame + 1]]
    return a && b ? [([0, 1] as const).map((c) => o[c] - (a[c] + b[c]) / 2)] : []
  })
  return {
    frames: n,
    rms: Math.sqrt(squares.reduce((a, b) => a + b, 0) / n),
    worst: Math.sqrt(2 * (squares[worst] ?? 0)),
    worstFrame: known[worst]?.frame ?? 0,
    trend: Math.hypot(...([0, 1] as const).map((c) => rise(known.map(({ frame, o }) => [frame, o[c]])))),
    jitter: Math.sqrt(bends.reduce((a, [x, y]) => a + (x ** 2 + y ** 2) / 2, 0) / Math.max(1, bends.length)),
  }
}

function rise(points: readonly (readonly [number, number])[]): number {
  const n = points.length
  const [mx, my] = [0, 1].map((c) => points.reduce((a, p) => a + p[c], 0) / n)
  const slope =
    points.reduce((a, [x, y]) => a + (x - mx) * (y - my), 0) / points.reduce((a, [x]) => a + (x - mx) ** 2, 0)
  return slope * (points[n - 1][0] - points[0][0])
}
