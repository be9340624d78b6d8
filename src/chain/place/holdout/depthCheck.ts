/**
 * Whether a depth map says distances at all, before anything follows it.
 *
 * Refused: no place with a distance; a map whose places all have the same one; a tenth of its places or more below 0, where a map by
 * convention says 0 or no number for what has no distance, never a number below. The tenth is a choice: resampling rings a little below 0.
 */
import { type NativeFrame, Problem, type ProblemDetail } from '../../../core/index.js'
import { type DepthScale, distanceOf } from './depth.js'
import { topOf } from './matte.js'

const BELOW = 0.1
/** Distances within this share of each other are those of rounding. */
const SAME = 1e-6

/** A few frames of the map: a single one may show nothing but sky. @throws Problem `place.depth-none`, `place.depth-below`, `place.depth-flat` */
export function refuseNoDepth(maps: readonly NativeFrame[], scale: DepthScale, where: string): void {
  let [places, far, below, near, most] = [0, 0, 0, Number.POSITIVE_INFINITY, 0]
  let [least, greatest] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY]
  for (const map of maps) {
    const top = topOf(map)
    for (const code of map.planes[0]?.data ?? []) {
      const v = code / top
      const d = distanceOf(v, scale)
      places++
      if (Number.isFinite(v)) {
        least = Math.min(least, v)
        greatest = Math.max(greatest, v)
      }
      if (d > 0) {
        near = Math.min(near, d)
        most = Math.max(most, d)
      } else far++
      if (d < 0) below++
    }
  }
  const fault = faultOf(places, far, below, near, most, scale)
  if (fault === undefined) return
  const values = greatest < least ? 'no numbers' : `values from ${short(least)} to ${short(greatest)}`
  const { unit, a, b } = scale
  const read = `${values}, read by unit "${unit}", a ${short(a)}, b ${short(b)}`
  throw new Problem({ ...fault, where, received: `${fault.received}: ${read}` })
}

function faultOf(
  places: number,
  without: number,
  below: number,
  near: number,
  most: number,
  { unit }: DepthScale,
): (ProblemDetail & { readonly received: string }) | undefined {
  const expected = `${unit === 'metres' ? 'd = a·v + b' : '1/d = a·v + b'} above 0 where something is`
  if (below >= BELOW * places && below > 0)
    return {
      code: 'place.depth-below',
      what: 'This depth map says distances below 0',
      expected,
      received: `${Math.round((100 * below) / places)} % of its places below 0`,
      remedy: 'Set a below 0 where the map counts away from the camera as negative; else mend b, or unit.',
    }
  if (without === places)
    return {
      code: 'place.depth-none',
      what: 'This depth map says no distance anywhere',
      expected,
      received: 'none',
      remedy: 'Name the layer that holds the depth, and mend unit, a and b.',
    }
  // Endlessly far everywhere is no distance to tell things apart by either.
  if (near >= (1 - SAME) * most)
    return {
      code: 'place.depth-flat',
      what: 'This depth map says the same distance everywhere',
      expected: 'distances that differ',
      received: `${short(near)} m all over`,
      remedy: 'Name the layer that holds the depth, and mend unit, a and b.',
    }
  return undefined
}

function short(v: number): string {
  return String(Number(v.toPrecision(4)))
}
