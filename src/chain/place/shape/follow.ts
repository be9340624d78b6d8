/** A shape that goes with a track: its keys stand on the track's reference frame, and every point is carried from there. */
import { carried, type Take } from '../motion/carry.js'
import { at, normalised } from '../motion/matrix.js'
import { bentAt, type Mesh } from '../motion/mesh.js'
import type { Carriage } from './moments.js'

/** What came of a track. */
export interface ShapeTrack {
  readonly mesh?: Mesh | undefined
  /** Ascending, at least one. */
  readonly frames: readonly {
    readonly frame: number
    readonly matrix: readonly number[]
    readonly nodes?: readonly number[] | undefined
  }[]
}

/**
 * @param anchor about which the outline turns and grows, where not all of the motion is taken; px of the reference frame
 * @throws Problem as `normalised`
 */
export function goingWith(
  { frames, mesh }: ShapeTrack,
  take: Take,
  anchor: readonly [number, number],
): NonNullable<Carriage['carry']> {
  return (frame) => {
    // Its own, or what lies nearest before it, or the first.
    const known = frames.findLast((f) => f.frame <= frame) ?? frames[0]
    if (known === undefined) return (x, y) => [x, y]
    const matrix = normalised(known.matrix)
    const { nodes } = known
    if (take !== 'all') {
      const part = carried(matrix, take, anchor)
      return (x, y) => at(part, x, y)
    }
    if (mesh === undefined || nodes === undefined) return (x, y) => at(matrix, x, y)
    return (x, y) => bentAt({ matrix, mesh, nodes }, x, y)
  }
}
