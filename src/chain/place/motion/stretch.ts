/**
 * What a stiff motion may be off beyond the points that it was taken from. How a surface leans is of second order in the distance from
 * them: what the motion leaves within their reach, which it cannot follow, grows with the square of it.
 *
 *   off(p) = r·max(0, ρ² − 1.5)      ρ = |p − m| / R
 *
 *   r  rms that the motion leaves of the points, along an axis, px      m  middle of the points on the reference frame
 *   R  √2 · their root mean square distance from it: the radius of a disc that they fill evenly; the corners of a box that they fill
 *      lie at ρ² = 1.5
 *
 * A bound of Taylor's remainder, with r for the size of the second-order term within R: an estimate, no more.
 */
import { type Pairs, placeOf } from './fit/pairs.js'
import type { Place } from './matrix.js'

const FILLED = 1.5
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
  const [mx, my] = ([0, 1] as const).map((c) => places.reduce((sum, p) => sum + p[c], 0) / places.length) as [
    number,
    number,
  ]
  const square = ([x, y]: Place) => (x - mx) ** 2 + (y - my) ** 2
  const reach = Math.max((2 * places.reduce((sum, p) => sum + square(p), 0)) / places.length, LEAST_PX ** 2)
  const offs = outline.map((p) => rmsPx * Math.max(0, square(p) / reach - FILLED))
  return offs.reduce((sum, off) => sum + off * off, 0) / offs.length
}
