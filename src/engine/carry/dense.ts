/** Where places went by the dense flow, there and back. */
import { denseFlow, type Place, type Vision } from '../../vision/index.js'
import { apart } from '../track/matrix.js'
import type { Crop } from './inside.js'

/** Side of the square over which the flow is smoothed, px. */
const WINDOW = 21
/** Of a step by the dense flow, px; that by which the way back misses is added. */
const OWN = 0.4
/** A way back that misses by more is none, px. */
const CLOSES = 1

/** @param a and @param b the same part of two frames. @returns steps; undefined where there and back do not meet */
export function denseBoth(
  vision: Vision,
  a: Crop,
  b: Crop,
  places: readonly Place[],
): ({ readonly by: Place; readonly spreadPx: number } | undefined)[] {
  const there = denseFlow(vision, a.grey, b.grey, WINDOW)
  const back = denseFlow(vision, b.grey, a.grey, WINDOW)
  return places.map(([x, y]) => {
    const p: Place = [x - a.x, y - a.y]
    const by = sampled(there, a, p)
    const to: Place = [p[0] + by[0], p[1] + by[1]]
    const [u, v] = sampled(back, a, to)
    const miss = apart([to[0] + u, to[1] + v], p)
    return miss <= CLOSES ? { by, spreadPx: OWN + miss } : undefined
  })
}

/** Of the nearest pixel: the flow is smoother than that. */
function sampled(flow: Float32Array, { grey: { width, height } }: Crop, [x, y]: Place): Place {
  const i = Math.min(width - 1, Math.max(0, Math.floor(x)))
  const j = Math.min(height - 1, Math.max(0, Math.floor(y)))
  const at = 2 * (j * width + i)
  return [flow[at] as number, flow[at + 1] as number]
}
