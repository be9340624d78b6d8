/** How far one of a shot's elements stands the camera's move as a flat picture. */
import { type Budget, LIMITS, parallaxBudget } from '../chain/place/parallax/budget.js'
import { flatsByDepth, type Slice } from '../chain/place/parallax/flats.js'
import { type CameraPath, countedFrom, type Move, plannedPath } from '../chain/place/parallax/path.js'
import { Problem } from '../core/index.js'
import type { SourceInfo } from '../media/index.js'
import { elementOf } from '../shot/edit.js'
import type { Shot, ShotElement } from '../shot/schema.js'
import { readPath, type TrackedPath, trackedPath } from './cameraPath.js'
import { pictureOf, shotRange } from './plan.js'
import { placedFoot, plateSight } from './plateSight.js'
import { findFiles } from './stage.js'
import { findTracks } from './tracks.js'

/** Where the camera's path comes from; without any from the shot's tracks. */
export interface PathAsked {
  readonly file?: string | undefined
  readonly move?: Move | undefined
  readonly metres?: number | undefined
}

export interface BudgetResult extends Budget {
  readonly element: string
  readonly distanceM: number
  /** Undefined: its depth is not known, nor its internal parallax. */
  readonly depthM: number | undefined
  readonly limits: typeof LIMITS
  readonly path: {
    readonly from: string
    readonly sd?: TrackedPath['sd']
    readonly untold: readonly string[]
  }
  /** It goes with a track: then it does not slide. */
  readonly carried: boolean
  readonly overrun: boolean
  /** Flats by depth that keep the internal parallax; undefined where it is kept, not known, or no number of flats helps. */
  readonly flats: readonly Slice[] | undefined
  readonly advice: readonly string[]
}

/** @throws Problem `shot.unknown-element`, `place.no-distance`, `place.no-camera`, `engine.no-path`, or as files cannot be opened */
export async function budgetOf(
  shot: Shot,
  folder: string,
  id: string,
  asked: PathAsked,
): Promise<BudgetResult> {
  const e = elementOf(shot, id)
  const files = await findFiles({ ...shot, elements: [e] }, folder)
  const [info, own] = ['plate', e.id].map((name) => {
    const found = files.get(name)
    if (found === undefined || found instanceof Problem) throw found
    return found
  }) as [SourceInfo, SourceInfo]
  const [plate, picture] = [pictureOf(info), pictureOf(own)]
  const sight = plateSight(shot, plate)
  if (typeof sight === 'string') throw missing('place.no-camera', sight, 'camera')
  if (e.distanceM === undefined)
    throw missing('place.no-distance', 'its distance is not known', `elements.${id}.distanceM`)
  const { horizon: _, ...site } = shot.site
  const placed = placedFoot(e, picture, { ...shot, site }, plate)
  if (typeof placed === 'string') throw missing('engine.no-path', placed, `elements.${id}`)
  const flat = {
    focalPx: sight.focalPx.value,
    x: placed.middle[0] - plate.width / 2,
    y: placed.middle[1] - plate.height / 2,
    widthPx: placed.scale * picture.width,
    heightPx: placed.scale * picture.height,
    distanceM: e.distanceM,
    depthM: Math.min(e.depthM ?? 0, 1.9 * e.distanceM),
  }
  const { path, ...from } = await pathOf(shot, folder, info, sight.focalPx.value, placed.frame, asked)
  const budget = parallaxBudget(flat, countedFrom(path, placed.frame))
  const carried = e.follow !== undefined
  const inside = budget.first.internalPx !== undefined
  const flats = inside ? flatsByDepth(flat, countedFrom(path, placed.frame)) : undefined
  return {
    element: id,
    ...budget,
    distanceM: e.distanceM,
    depthM: e.depthM,
    limits: LIMITS,
    path: from,
    carried,
    overrun:
      inside ||
      budget.first.viewDeg !== undefined ||
      budget.reached !== undefined ||
      (!carried && budget.first.slidePx !== undefined),
    flats,
    advice: adviceFor(e, budget, flats, carried),
  }
}

async function pathOf(
  shot: Shot,
  folder: string,
  plate: SourceInfo,
  focalPx: number,
  reference: number,
  { file, move, metres }: PathAsked,
): Promise<{ path: CameraPath } & BudgetResult['path']> {
  if (file !== undefined) return { path: await readPath(file), from: file, untold: [] }
  if (move !== undefined && metres !== undefined) {
    if (metres > MOST_METRES)
      throw new Problem({
        code: 'engine.long-path',
        what: 'No camera goes so far in a shot',
        where: '--metres',
        expected: `${MOST_METRES} m at most`,
        received: `${metres}`,
        remedy: 'Metres from the first frame to the last.',
      })
    const { count } = shotRange(shot, plate.frameCount)
    const path = plannedPath(move, metres, count, plate.rate.num / plate.rate.den)
    return { path, from: `planned: ${move}, ${metres} m`, untold: [] }
  }
  const tracks = await findTracks(shot, folder, plate)
  const tracked = trackedPath(shot, tracks, plate, focalPx, reference)
  if (typeof tracked === 'string') throw missing('engine.no-path', tracked, 'tracks', NO_PATH)
  const { path, sd, untold, from } = tracked
  return { path, sd, untold, from: `tracks ${from.join(', ')}` }
}

function adviceFor(
  e: ShotElement,
  { first, reached }: Budget,
  flats: readonly Slice[] | undefined,
  carried: boolean,
): string[] {
  const out: string[] = []
  if (reached !== undefined)
    out.push(`The camera reaches it on frame ${reached}: a flat ends before. Place it again there, or cut.`)
  if (first.viewDeg !== undefined)
    out.push(
      `From frame ${first.viewDeg} on it would be seen from another side. More flats do not help: film it along the move, or cross to another one there.`,
    )
  if (first.internalPx !== undefined)
    out.push(
      flats === undefined
        ? `From frame ${first.internalPx} on its own parts would shift. No number of flats that a hand can cut keeps that: shorten the move, or take it farther away.`
        : `From frame ${first.internalPx} on its own parts would shift. ${flats.length} flats keep that under the limit, at ${flats.map((f) => f.distanceM.toFixed(2)).join(', ')} m.`,
    )
  if (e.depthM === undefined)
    out.push('How deep it is from front to back is not known (depthM): its internal parallax cannot be told.')
  if (!carried && first.slidePx !== undefined)
    out.push(
      `It goes with no track: from frame ${first.slidePx} on it slides, by the camera's way alone. Let it follow one at its distance.`,
    )
  return out
}

/** A planned way is no longer than that, m: a choice, for slips of the hand. */
const MOST_METRES = 10_000

/** Other ways to say how the camera goes. */
const NO_PATH =
  'Follow two things at different known distances, or say how the camera goes: --move with --metres, or --path with a table of its way.'

function missing(code: string, why: string, where: string, remedy?: string): Problem {
  const what = `The parallax cannot be told: ${why}`
  return new Problem({ code, what, where, ...(remedy === undefined ? {} : { remedy }) })
}
