/**
 * What goes with a track: an element that stands on the track's reference frame as the document says, carried to another frame.
 *
 *   plate = M(n) · standing                      goes with the track
 *   plate = A(n) · A(s)⁻¹ · M(s) · standing      takes the track's place on its first frame s, and goes with another one's A from there
 *
 * Products are left as they are: one made 1 at its last number would lose which side of the horizon the element's corner is on.
 *
 * Source: composition of planar motions, [hartley2004 §2.4].
 */
import { invert3, type Matrix3, multiply3 } from '../../../colour/index.js'
import { carried, partsAt, type Take } from '../motion/carry.js'
import { at, shift } from '../motion/matrix.js'
import { type BentMotion, bentAt } from '../motion/mesh.js'
import { matrixOf, type PlaceMap, type Stand, type Straight } from '../raster/map.js'
import { between } from './between.js'
import type { Lean } from './lean.js'
import type { Track } from './track.js'

export interface Way {
  readonly track: Track
  readonly take: Take
  /** `start`: the track counts on the element's first frame alone; from there it goes with this one, or stays in the picture. */
  readonly hold?: { readonly after: Track | undefined } | undefined
}

/**
 * @param standing on the track's reference frame
 * @param start the element's first frame
 * @param size of its picture, px
 * @param leans how it leans on the reference frame, or where it comes to lie by that
 */
export function followed(
  standing: Straight,
  way: Way,
  n: number,
  start: number,
  [width, height]: readonly [number, number],
  leans?: Lean,
): Stand {
  const { track, take, hold } = way
  const own = motionOn(track, hold === undefined ? n : start)
  const after = hold?.after
  const motion = after === undefined ? own : onwards(own, after, n, start)
  const { matrix } = motion
  const anchor = [
    standing.originX + (standing.scaleX * width) / 2,
    standing.originY + (standing.scaleY * height) / 2,
  ] as const
  const zoom = partsAt(matrix, anchor).size
  if (take === 'all' && 'mesh' in motion) return { map: onElement(motion, standing), zoom }
  const leaning = leans?.(anchor)
  const whole = atAnchor(motion, anchor)
  const taken = carried(leaning === undefined ? whole : multiply3(whole, leaning), take, anchor)
  // By what is asked for and not by its numbers: the one frame that happens to be level would be filtered another way than the rest.
  const level =
    take === 'place' ||
    take === 'size' ||
    [track, after].every((t) => t === undefined || t.motion === 'translation')
  const map: PlaceMap = level ? straightBy(taken, standing) : { matrix: multiply3(taken, matrixOf(standing)) }
  return { map, zoom: take === 'place' ? 1 : zoom }
}

type Known = { readonly matrix: Matrix3 } | BentMotion

function motionOn(track: Track, n: number): Known {
  const { matrix, nodes } = between(track, n)
  return track.mesh && nodes ? { matrix, mesh: track.mesh, nodes } : { matrix }
}

/** Carried on by what another track does from the start on. */
function onwards(own: Known, after: Track, n: number, start: number): Known {
  const beyond = multiply3(motionOn(after, n).matrix, invert3(motionOn(after, start).matrix))
  const matrix = multiply3(beyond, own.matrix)
  if (!('mesh' in own)) return { matrix }
  const { mesh, nodes } = own
  const offsets: number[] = []
  for (let k = 0; k < nodes.length; k += 2) {
    const x = mesh.x + (mesh.width * ((k / 2) % mesh.columns)) / (mesh.columns - 1)
    const y = mesh.y + (mesh.height * Math.floor(k / 2 / mesh.columns)) / (mesh.rows - 1)
    const [bare, bent] = [at(matrix, x, y), at(beyond, ...bentAt(own, x, y))]
    offsets.push(bent[0] - bare[0], bent[1] - bare[1])
  }
  return { matrix, mesh, nodes: offsets }
}

/** A surface that bends, as the plane that it is at a place. */
function atAnchor(motion: Known, [x, y]: readonly [number, number]): Matrix3 {
  if (!('mesh' in motion)) return motion.matrix
  const [bare, bent] = [at(motion.matrix, x, y), bentAt(motion, x, y)]
  return multiply3(shift(bent[0] - bare[0], bent[1] - bare[1]), motion.matrix)
}

/** With its mesh on the element's own pixels. */
function onElement({ matrix, mesh, nodes }: BentMotion, s: Straight): BentMotion {
  const own = {
    ...mesh,
    x: (mesh.x - s.originX) / s.scaleX,
    y: (mesh.y - s.originY) / s.scaleY,
    width: mesh.width / s.scaleX,
    height: mesh.height / s.scaleY,
  }
  return { matrix: multiply3(matrix, matrixOf(s)), mesh: own, nodes }
}

/** Of a motion that neither turns nor tilts. */
function straightBy(m: Matrix3, s: Straight): Straight {
  return {
    scaleX: m[0] * s.scaleX,
    scaleY: m[4] * s.scaleY,
    originX: m[0] * s.originX + m[2],
    originY: m[4] * s.originY + m[5],
  }
}
