/** A shape that goes with a track: its keys stand on the track's reference frame, and every point is carried from there. */

import { knownAt, type Track } from '../follow/track.js'
import { carried, type Take } from '../motion/carry.js'
import { at, inverse, type Matrix3, normalised, type Place } from '../motion/matrix.js'
import { type BentMotion, bentAt, unbentAt } from '../motion/mesh.js'
import type { Carriage } from './moments.js'

type Known = Pick<Track, 'frames' | 'mesh'>

/**
 * @param anchor about which the outline turns and grows, where not all of the motion is taken; px of the reference frame
 * @throws Problem as `normalised`
 */
export function goingWith(track: Known, take: Take, anchor: Place): NonNullable<Carriage['carry']> {
  return (frame) => {
    const motion = takenOn(track, take, anchor, frame)
    return 'mesh' in motion ? (x, y) => bentAt(motion, x, y) : (x, y) => at(motion.matrix, x, y)
  }
}

/**
 * The way back: what place of the reference frame is carried to a place of a frame; undefined where none is.
 *
 * @throws Problem as `normalised`, `inverse`
 */
export function comingFrom(
  track: Known,
  take: Take,
  anchor: Place,
): (frame: number) => (x: number, y: number) => Place | undefined {
  return (frame) => {
    const motion = takenOn(track, take, anchor, frame)
    if ('mesh' in motion) return (x, y) => unbentAt(motion, x, y)
    const back = inverse(motion.matrix)
    return (x, y) => {
      const place = at(back, x, y)
      return place.every(Number.isFinite) ? place : undefined
    }
  }
}

function takenOn(
  track: Known,
  take: Take,
  anchor: Place,
  frame: number,
): { readonly matrix: Matrix3 } | BentMotion {
  const { mesh } = track
  const { matrix: own, nodes } = knownAt(track, frame)
  const matrix = normalised(own)
  if (take !== 'all') return { matrix: carried(matrix, take, anchor) }
  return mesh === undefined || nodes === undefined ? { matrix } : { matrix, mesh, nodes }
}
