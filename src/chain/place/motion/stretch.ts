/**
 * What a stiff motion may be off beyond the points that it was taken from. How a surface leans is of second order in the distance from
 * them: what the motion leaves within their reach, which it cannot follow, grows with the square of it.
 *
 *   off(p) = r·max(0, ρ² − 2)      ρ = |p − m| / R
 *
 *   r  rms that the motion leaves of the points, along an axis, px      m  middle of the points on the reference frame
 *   R  1.5 · their mean distance from it: the radius of a disc that they fill evenly; the corners of a box that they fill lie at
 *      ρ² = 1.5, the ends of a line at 1.8. Not the mean square: a few far from the rest would make it large, and the motion goes through
 *      those, so that r holds little of them
 *
 * A bound of Taylor's remainder, with r for the size of the second-order term within R: an estimate, no more.
 */
import { type Pairs, placeOf } from './fit/pairs.js'
import type { Place } from './matrix.js'
import type { SeenPoint } from './seen.js'

const FILLED = 2
/** R is not taken for less, px: points on one place have a window's extent. */
const LEAST_PX = 10

/** Mean square over the outline along an axis, px². @param agrees 1 where the pair goes with the motion */
export function stretched(
  pairs: Pairs,
  agrees: Uint8Array,
  rmsPx: number,
  outline: readonly Place[],
): number {
  const places = [...agrees.keys()].filter((k) => agrees[k] === 1).map((k) => placeOf(pairs.from, k))
  if (places.length === 0 || outline.length === 0) return 0
  const { middle, reach } = filledBy(places)
  const offs = outline.map((p) => rmsPx * Math.max(0, (apart(p, middle) / reach) ** 2 - FILLED))
  return mean(offs.map((off) => off * off))
}

/** m and R. */
function filledBy(places: readonly Place[]): { middle: Place; reach: number } {
  const middle: Place = [mean(places.map((p) => p[0])), mean(places.map((p) => p[1]))]
  return { middle, reach: Math.max(1.5 * mean(places.map((p) => apart(p, middle))), LEAST_PX) }
}

const apart = (a: Place, b: Place) => Math.hypot(a[0] - b[0], a[1] - b[1])
const mean = (v: readonly number[]) => v.reduce((sum, x) => sum + x, 0) / v.length

/** Ends of an outline farther out than so many R: a choice. */
const FAR = 2

/** What is to be said of an outline whose ends lie far from all that is seen of it. */
export function unseenSaid(
  points: readonly SeenPoint[],
  outline: readonly Place[] | undefined,
): readonly string[] {
  const places = points.flatMap((p) => p.seen.map(() => p.from))
  if (outline === undefined || places.length === 0) return []
  const { middle, reach } = filledBy(places)
  const far = outline.filter((p) => apart(p, middle) > FAR * reach)
  if (far.length === 0) return []
  const named = far.slice(0, 3).map(([x, y]) => `${Math.round(x)},${Math.round(y)}`)
  return [
    `What is seen of it lies within ${Math.round(reach)} px about ${middle.map(Math.round).join(',')}; ${far.length} of ${outline.length} ends of the outline (${named.join(' ')}) lie far from that, and there the motion is gone on with, not seen. An element there may slide: draw the outline about more texture, or set the element near what is seen.`,
  ]
}
