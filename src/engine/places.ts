/** Where things lie on one frame of a shot, as the plate's lens draws them: for whoever draws outlines over the picture. */
import type { LensWays } from '../chain/lens/bend.js'
import { knownAt } from '../chain/place/follow/track.js'
import { normalised } from '../chain/place/motion/matrix.js'
import { isCarried, placed } from '../chain/place/raster/map.js'
import { shapeAt } from '../chain/place/shape/moments.js'
import { firstShown } from '../chain/shutter/cadence/model.js'
import { Problem, type ProblemDetail } from '../core/index.js'
import { shapesBefore } from '../shot/before.js'
import { applyEdit, type Shot, type ShotElement, type Track, type TrackFrame } from '../shot/index.js'
import { strengthOf } from '../shot/strength.js'
import { cadenceOf } from './cadence.js'
import { carryOf } from './hides.js'
import type { Picture } from './plan.js'
import { waysOf } from './plateSettings.js'
import { scaleOf } from './settings.js'
import { type Ground, standingOf } from './stand.js'
import { type KnownTrack, trackOf } from './tracks.js'

/** Plate pixels. */
export type Spot = readonly [number, number]

/** `outside`: a frame that it was not followed on. */
export type TrackState = TrackFrame['state'] | 'outside'

export interface ElementPlace {
  readonly id: string
  /** The border of its picture, going round, as far as it lies before the camera. */
  readonly border: readonly Spot[]
  /** Top left, top right, bottom right, bottom left of its own picture; null behind the camera. */
  readonly corners: readonly (Spot | null)[]
  /** Its middle: what a hand moves. */
  readonly anchor: Spot | null
  /** What the document says of it, a hand's part included. */
  readonly position: { readonly x: number; readonly y: number }
  readonly scale: number | null
  /** What its track knows of this frame. */
  readonly track?: TrackState
  /** Why nobody can tell where it lies, or what hides it. */
  readonly problem?: ProblemDetail
}

export interface TrackPlace {
  readonly id: string
  readonly state: TrackState
  /** What is followed, carried to this frame: points, or the border of a region; neither, where it is the whole picture. */
  readonly points: readonly Spot[]
  readonly region: readonly Spot[]
}

export interface Places {
  /** In the document's order; none of a file that cannot be opened. */
  readonly elements: readonly ElementPlace[]
  /** Those that can be told, as are the tracks. */
  readonly shapes: readonly { readonly id: string; readonly outline: readonly Spot[] }[]
  readonly tracks: readonly TrackPlace[]
}

/** @param pictures of the elements by id; @param number frame of the shot, 0-based */
export function placesAt(
  number: number,
  ground: Ground,
  pictures: Readonly<Record<string, Picture>>,
): Places {
  const { shot, plate, tracks } = ground
  const lens = waysOf(shot, plate)
  return {
    elements: shot.elements.flatMap((e) => {
      const picture = pictures[e.id]
      return picture === undefined ? [] : [elementAt(e, picture, number, ground)]
    }),
    shapes: told(shot.shapes, (s) => ({ id: s.id, outline: outlineAt(s, number, ground, lens) })),
    tracks: told(shot.tracks, (t) => trackAt(t, trackOf(tracks, t.id), number, lens)),
  }
}

/** The shot without the elements that cannot be placed: what is left can be looked at. */
export function placeable(shot: Shot, { elements }: Places): Shot {
  return elements.reduce(
    (left, { id, problem }) =>
      problem === undefined ? left : applyEdit(left, { kind: 'removeElement', element: id }),
    shot,
  )
}

/** What cannot be told is said where it is asked for: by the element that goes with it, by the commands. */
function told<T, R>(all: readonly T[], tell: (one: T) => R): R[] {
  return all.flatMap((one) => {
    try {
      return [tell(one)]
    } catch (e) {
      if (e instanceof Problem) return []
      throw e
    }
  })
}

/** Pieces of a side that something bends. */
const PIECES = 16
const CORNERS = [
  [0, 0],
  [1, 0],
  [1, 1],
  [0, 1],
] as const

function elementAt(e: ShotElement, picture: Picture, number: number, ground: Ground): ElementPlace {
  const none = { id: e.id, border: [], corners: [], anchor: null, position: e.position }
  let scale: number | null = null
  try {
    scale = scaleOf(e, picture, ground.shot, ground.plate.width)
    const track = trackState(e, picture, number, ground)
    const more = track === undefined ? { scale } : { scale, track }
    for (const s of shapesBefore(ground.shot, e)) carryOf(s, ground)
    const map = standingOf(e, picture, ground)(number)?.map
    if (map === undefined) return { ...none, ...more }
    const lens = waysOf(ground.shot, ground.plate, strengthOf(e, 'lens'))
    const { width, height } = picture
    const spot = (u: number, v: number) => drawnAt(placed(map, u * width, v * height), lens)
    const corners = CORNERS.map(([u, v]) => spot(u, v))
    const even = lens === undefined && !(isCarried(map) && 'mesh' in map) && !corners.includes(null)
    const pieces = even ? 1 : PIECES
    const border = CORNERS.flatMap(([u0, v0], i) => {
      const [u1, v1] = CORNERS[(i + 1) % 4] as Spot
      return Array.from({ length: pieces }, (_, k) =>
        spot(u0 + ((u1 - u0) * k) / pieces, v0 + ((v1 - v0) * k) / pieces),
      )
    }).filter((s) => s !== null)
    return { ...none, border, corners, anchor: spot(0.5, 0.5), ...more }
  } catch (failed) {
    if (failed instanceof Problem) return { ...none, scale, problem: failed.detail }
    throw failed
  }
}

function outlineAt(
  s: Shot['shapes'][number],
  number: number,
  ground: Ground,
  lens: LensWays | undefined,
): Spot[] {
  const { moments } = shapeAt(s, number, { open: 0, carry: carryOf(s, ground), drawn: lens?.drawn })
  const line = moments[0]?.line ?? []
  return Array.from({ length: line.length / 2 }, (_, i) => [line[2 * i] as number, line[2 * i + 1] as number])
}

function trackAt(ask: Track, track: KnownTrack, number: number, lens: LensWays | undefined): TrackPlace {
  const { matrix: of, nodes } = knownAt(track, number)
  const matrix = normalised(of)
  const map = track.mesh && nodes ? { matrix, mesh: track.mesh, nodes } : { matrix }
  const spots = (all: readonly Spot[] = []) =>
    all.map(([x, y]) => drawnAt(placed(map, x, y), lens)).filter((s) => s !== null)
  return { id: ask.id, state: stateOf(track, number), points: spots(ask.points), region: spots(ask.region) }
}

/** Of the track that places it on this frame: held from its start, that is the first frame's, and the one that it goes on with. */
function trackState(e: ShotElement, picture: Picture, number: number, { shot, plate, tracks }: Ground) {
  const { follow } = e
  if (follow === undefined) return undefined
  const track = trackOf(tracks, follow.track)
  if (follow.hold === undefined) return stateOf(track, number)
  const first = stateOf(track, firstShown(cadenceOf(e, picture, plate, shot)))
  const unknown = first === 'lost' || first === 'outside'
  return unknown || follow.after === undefined ? first : stateOf(trackOf(tracks, follow.after), number)
}

function stateOf(track: KnownTrack, number: number): TrackState {
  const known = knownAt(track, number)
  return known.frame === number ? (known.state as TrackState) : 'outside'
}

/** Beyond this a place comes back from the lens as another one: the way there has folded over, px. */
const FOLDED = 0.5

/** Null where it lies behind the camera, or so far outside the frame that the lens does not draw it. */
export function drawnAt([x, y]: Spot, lens: LensWays | undefined): Spot | null {
  if (!Number.isFinite(x) || !Number.isFinite(y)) return null
  if (lens === undefined) return [x, y]
  const drawn = lens.drawn(x, y)
  const back = straightAt(drawn, lens)
  if (back === null) return null
  return Math.abs(back[0] - x) < FOLDED && Math.abs(back[1] - y) < FOLDED ? drawn : null
}

/** The way back; null where the lens draws nothing. */
export function straightAt([x, y]: Spot, lens: LensWays | undefined): Spot | null {
  if (lens === undefined) return [x, y]
  try {
    return lens.straight(x, y)
  } catch (e) {
    if (e instanceof Problem) return null
    throw e
  }
}
