/** A shape that goes with a track: its keys stand on the track's reference frame, and every point is carried from there. */

import { knownAt, type Track } from '../follow/model.js'
import { carried, type Take } from '../motion/carry.js'
import { at, normalised } from '../motion/matrix.js'
import { bentAt } from '../motion/mesh.js'
import type { Carriage } from './moments.js'

/**
 * @param anchor about which the outline turns and grows, where not all of the motion is taken; px of the reference frame
 * @throws Problem as `normalised`
 */
export function goingWith(
  track: Pick<Track, 'frames' | 'mesh'>,
  take: Take,
  anchor: readonly [number, number],
): NonNullable<Carriage['carry']> {
  return (frame) => {
    const { mesh } = track
    const { matrix: own, nodes } = knownAt(track, frame)
    const matrix = normalised(own)
    if (take !== 'all') {
      const part = carried(matrix, take, anchor)
      return (x, y) => at(part, x, y)
    }
    if (mesh === undefined || nodes === undefined) return (x, y) => at(matrix, x, y)
    return (x, y) => bentAt({ matrix, mesh, nodes }, x, y)
  }
}
