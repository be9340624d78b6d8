/** Size and horizon of an element against its place in the plate, where the document has the facts for it; else nothing. */
import type { Comparison } from '../chain/compare.js'
import { combine } from '../chain/place/distance/combine.js'
import { compareHorizon, compareSize, compareSizes, type SizeLook } from '../chain/place/distance/compare.js'
import { filmedView, nearToFar, type View } from '../chain/place/distance/perspective.js'
import { elevationDeg, type Sight } from '../chain/place/distance/sight.js'
import { heightOfPixels, topOf } from '../chain/place/distance/upright.js'
import type { Length } from '../chain/place/distance/ways.js'
import { confidenceOf, type Reading, type Region, told } from '../core/index.js'
import type { Shot, ShotElement } from '../shot/schema.js'
import { waysTo } from './distanceWays.js'
import type { Picture } from './plan.js'
import { DOUBT, doubted, type Placed, placedAt, placedFoot, plateSight } from './plateSight.js'

/** Of its foot to the top of its picture, least share by which its height can be told. */
const LEAST_UPRIGHT = 0.1

export interface PlaceFacts {
  readonly shot: Shot
  readonly plate: Pick<Picture, 'width' | 'height'>
  readonly picture: Picture
}

export function comparePlace(
  e: ShotElement,
  facts: PlaceFacts,
  seen: { readonly frames: readonly number[]; readonly region: Region },
): Comparison[] {
  const sight = plateSight(facts.shot, facts.plate)
  const placed = placedFoot(e, facts.picture, facts.shot, facts.plate)
  if (typeof sight === 'string' || typeof placed === 'string') return []
  const distance = placed.foot && combine(waysTo(facts.shot, sight, placed.foot))
  return [
    ...(movesItself(e) ? [] : sizeOf(e, facts, sight, placed, distance, seen)),
    ...horizonOf(e, facts, sight, placed, distance, seen),
  ]
}

type Seen = Parameters<typeof comparePlace>[2]

/** It goes about in the picture by its own keys: on every frame its foot tells another distance. */
function movesItself(e: ShotElement): boolean {
  return e.follow === undefined && (e.keys?.length ?? 0) > 1
}

/**
 * The size of one that goes about, over a shot. @param stands whether the plate stands still, so that its horizon holds on every
 * frame; else only the frame for which that was drawn is looked at
 */
export function compareMoving(
  e: ShotElement,
  facts: PlaceFacts,
  frames: readonly number[],
  regionAt: (frame: number) => Region,
  stands: boolean,
): Comparison[] {
  const { shot, plate, picture } = facts
  const sight = plateSight(shot, plate)
  const own = placedFoot(e, picture, shot, plate)
  if (!movesItself(e) || typeof sight === 'string' || typeof own === 'string') return []
  const looks = (stands ? frames : [own.frame]).flatMap((frame) => {
    const placed = placedAt(e, picture, shot, plate, frame)
    const distance = placed.foot && combine(waysTo(shot, sight, placed.foot))
    const look = sizeLook(e, facts, sight, placed, distance, { frames: [frame], region: regionAt(frame) })
    return look === undefined ? [] : [look]
  })
  return looks.length === 0 ? [] : [compareSizes(looks)]
}

export function sizeOf(
  e: ShotElement,
  facts: PlaceFacts,
  sight: Sight,
  placed: Placed,
  distance: Reading<Length> | undefined,
  seen: Seen,
): Comparison[] {
  const look = sizeLook(e, facts, sight, placed, distance, seen)
  return look === undefined ? [] : [compareSize(look)]
}

function sizeLook(
  e: ShotElement,
  { picture }: PlaceFacts,
  sight: Sight,
  placed: Placed,
  distance: Reading<Length> | undefined,
  seen: Seen,
): SizeLook | undefined {
  if (e.heightM === undefined || distance === undefined || !told(distance)) return undefined
  return {
    name: e.id,
    ...seen,
    drawnM: drawnHeight(e, picture, sight, placed, distance.value.metres),
    real: doubted(e.heightM, DOUBT.elementHeight),
    distance: distance.value,
    confidence: confidenceOf(distance.evidence),
  }
}

/** What the pixels of its whole picture come to at a distance, m; before a tilted camera by what stands over its foot. */
export function drawnHeight(
  e: ShotElement,
  picture: Pick<Picture, 'height'>,
  sight: Sight,
  { foot, scale }: Placed,
  metres: number,
): number {
  const level = (scale * picture.height * metres) / sight.focalPx.value
  const over = e.foot?.[1] ?? 0
  const up = foot && topOf(sight, foot, metres, 0.01 * metres)
  if (foot === undefined || up === undefined || over < LEAST_UPRIGHT * picture.height) return level
  const long = Math.sqrt((up[0] - foot[0]) ** 2 + (up[1] - foot[1]) ** 2)
  const k = (scale * over) / long
  const top = [foot[0] + k * (up[0] - foot[0]), foot[1] + k * (up[1] - foot[1])] as const
  return (heightOfPixels(sight, foot, top, metres) * picture.height) / over
}

function horizonOf(
  e: ShotElement,
  facts: PlaceFacts,
  sight: Sight,
  placed: Placed,
  distance: Reading<Length> | undefined,
  seen: Seen,
): Comparison[] {
  const filmed = filmedView(e.filmed ?? {}, e.heightM, e.depthM).elevationDeg
  const plate = viewOfPlace(e, facts.shot, sight, placed, distance).elevationDeg
  if (filmed === undefined || plate === undefined) return []
  const doubt = (value: number) => ({ value, sd: DOUBT.viewDeg })
  return [compareHorizon({ name: e.id, ...seen, filmedDeg: doubt(filmed), plateDeg: doubt(plate) })]
}

/** How the plate looks at the element's place: by its horizon, else by how high the lens was and how far away that is. */
export function viewOfPlace(
  e: ShotElement,
  shot: Shot,
  sight: Sight,
  { middle }: Placed,
  distance: Reading<Length> | undefined,
): View {
  const metres = distance !== undefined && told(distance) ? distance.value.metres : e.distanceM
  const byHeight = filmedView({ heightM: shot.camera.heightM, distanceM: metres }, e.heightM).elevationDeg
  return {
    elevationDeg: sight.line === undefined ? byHeight : elevationDeg(sight, middle),
    nearToFar: nearToFar(metres, e.depthM),
  }
}
