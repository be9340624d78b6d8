/** Where an element stands, frame by frame: its position, scale and keys, then its own drift, then the track that it goes with. */
import { type Drift, drifted, driftZoom } from '../chain/place/drift/model.js'
import { type Lean, leanOf, leantPlace } from '../chain/place/follow/lean.js'
import { followed, type Way } from '../chain/place/follow/model.js'
import { knownAt, type Track } from '../chain/place/follow/track.js'
import { isSimilarity } from '../chain/place/motion/matrix.js'
import { type PlaceMap, placed, type Stand } from '../chain/place/raster/map.js'
import { placeAt } from '../chain/place/raster/model.js'
import { elementFrame, firstShown } from '../chain/shutter/cadence/model.js'
import { Problem } from '../core/index.js'
import { shapesBefore } from '../shot/before.js'
import type { Shot, ShotElement } from '../shot/schema.js'
import { cadenceOf } from './cadence.js'
import { exposedOf, exposureOf } from './exposure.js'
import type { Picture, Plan } from './plan.js'
import { Recent } from './recent.js'
import { metresPerPixel, placementOf } from './settings.js'
import { trackOf } from './tracks.js'

/** Undefined on a frame on which it has come past the camera. */
export type Standing = (frame: number) => Stand | undefined

/** Frames that are worked on at once: what is made of a stand is made once (`reach.ts` of placing). */
const KEPT = 4

/** What of a plan says where things stand. */
export type Ground = Pick<Plan, 'shot' | 'plate' | 'tracks'>

/** @throws Problem as `trackOf`; `place.no-camera`, `place.no-distance` */
export function standingOf(e: ShotElement, picture: Picture, plan: Ground): Standing {
  const placement = placementOf(e, picture, plan.shot, plan.plate.width)
  const drift = driftOf(e, picture, plan)
  const way = wayOf(e, plan)
  const start = firstShown(cadenceOf(e, picture, plan.plate, plan.shot))
  const { num, den } = plan.plate.rate
  const { width, height } = picture
  /** @param own frame on which its own motion is looked up */
  const stand = (frame: number, own = frame, leans?: Lean): Stand | undefined => {
    const still = placeAt(placement, own, width, height)
    const seconds = ((own - start) * den) / num
    const map = drift === undefined ? still : drifted(still, drift, seconds, width, height)
    if (map === undefined) return undefined
    const near = drift === undefined ? 1 : (driftZoom(drift, seconds) as number)
    if (way === undefined) return { map, zoom: near }
    const carried = followed(map, way, frame, start, [width, height], leans)
    return { map: carried.map, zoom: near * carried.zoom }
  }
  const exposure = exposureOf(plan, e)
  const { later } = exposure
  const sheared = way !== undefined && later !== undefined && !isRigid(way)
  const leans = sheared ? leanIn(way, e, plan, later) : undefined
  const shears = sheared && way.take === 'all'
  const tracked = way === undefined || (sheared && !shears) ? undefined : readAt(e, plan)
  const whole: Standing = (frame) => {
    const now = stand(frame)
    if (now === undefined) return undefined
    const from = tracked ?? placed(now.map, width / 2, height / 2)[1]
    const map = leans === undefined ? now.map : (stand(frame, frame, leans)?.map as PlaceMap)
    const when = (open: number, later: number) => {
      const goes = shears ? open : open + later
      return stand(frame + goes, frame + open + later, leans)?.map
    }
    const exposed = exposedOf(map, when, exposure, from, picture, plan.plate.height)
    return { ...now, exposed: exposed ?? (leans && { map, ends: undefined }) }
  }
  const kept = new Recent<Stand | undefined>(KEPT)
  return (frame) => kept.get(frame, () => whole(frame))
}

/** A motion that does not shear was followed as if all rows were read at once; one that does holds what their times make of it. */
function isRigid({ track, hold }: Way): boolean {
  return [track, hold?.after].every(
    (t) => t === undefined || t.motion === 'rotation' || t.frames.every(({ matrix }) => isSimilarity(matrix)),
  )
}

/** Undefined where it stays in the picture. */
function leanIn(
  { track, take, hold }: Way,
  e: ShotElement,
  plan: Ground,
  later: (y: number, from: number) => number,
): Lean | undefined {
  if (hold !== undefined && hold.after === undefined) return undefined
  const { reference } = plan.shot.tracks.find((t) => t.id === e.follow?.track) as Shot['tracks'][number]
  const lean = leanOf(track, reference, later(1, 0), readAt(e, plan))
  return take === 'all' ? lean : leantPlace(lean)
}

/** The row at whose time a track's places are seen: the middle of what is followed. */
function readAt({ follow }: ShotElement, { shot, plate }: Ground): number {
  const { region, points } = shot.tracks.find((t) => t.id === follow?.track) ?? {}
  const rows = (region ?? points ?? [[0, plate.height / 2]]).map((p) => p[1])
  return rows.reduce((a, b) => a + b) / rows.length
}

function driftOf(e: ShotElement, picture: Picture, plan: Ground): Drift | undefined {
  if (e.drift === undefined) return undefined
  const size = metresPerPixel(e, picture, plan)
  if (size === undefined || e.distanceM === undefined) {
    throw new Problem({
      code: 'place.no-distance',
      what: 'Metres a second need a distance and the camera to become pixels',
      where: `elements.${e.id}.drift`,
      expected: 'distanceM, camera.sensorWidthMm and camera.focalLengthMm',
    })
  }
  const middle = [plan.plate.width / 2, plan.plate.height / 2] as const
  return { ...e.drift, distanceM: e.distanceM, metresPerPixel: size, middle }
}

function wayOf(e: ShotElement, plan: Ground): Way | undefined {
  const { follow } = e
  if (follow === undefined) return undefined
  const after = follow.after === undefined ? undefined : trackOf(plan.tracks, follow.after)
  const hold = follow.hold === undefined ? undefined : { after }
  return { track: trackOf(plan.tracks, follow.track), take: follow.take, hold }
}

/** Frames on which what an element or a shape goes with is not known, so that it stays where that was last; one finding each. */
export function lostFindings(plan: Plan, numbers: readonly number[]): Problem[] {
  const elements = plan.shot.elements.flatMap((e) => {
    const picture = plan.elements[e.id]
    const way = picture && wayOf(e, plan)
    if (picture === undefined || way === undefined) return []
    const cadence = cadenceOf(e, picture, plan.plate, plan.shot)
    const start = firstShown(cadence)
    const shown = numbers.filter((n) => elementFrame(cadence, n) !== undefined)
    const { track, hold } = way
    const lost = shown.filter((n) =>
      hold === undefined
        ? isLost(track, n)
        : isLost(track, start) || (hold.after !== undefined && isLost(hold.after, n)),
    )
    return lostFinding(e.id, `elements.${e.id}.follow`, lost, shown.length)
  })
  const before = new Set(plan.shot.elements.flatMap((e) => shapesBefore(plan.shot, e)))
  const shapes = [...before].flatMap((s) => {
    if (s.follow === undefined) return []
    const track = trackOf(plan.tracks, s.follow.track)
    const lost = numbers.filter((n) => isLost(track, n))
    return lostFinding(s.id, `shapes.${s.id}.follow`, lost, numbers.length)
  })
  return [...elements, ...shapes]
}

function lostFinding(id: string, where: string, lost: readonly number[], of: number): Problem[] {
  if (lost.length === 0) return []
  return [
    new Problem({
      code: 'place.track-lost',
      what: `The track that "${id}" goes with is lost on some frames; where it lies there is a guess`,
      where,
      received: `${lost.length} of ${of} frames: ${lost.slice(0, 8).join(', ')}${lost.length > 8 ? ', …' : ''}`,
      remedy: 'Say by hand where it lies there (`corrections` of the track), and follow it again.',
    }),
  ]
}

function isLost(track: Track, frame: number): boolean {
  const known = knownAt(track, frame)
  return known.frame !== frame || known.state === 'lost'
}
