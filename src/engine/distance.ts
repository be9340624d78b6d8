/** How far away a place or an element of a shot is: each way's own answer, and what they come to; metres and pixels there. */
import type { Verdict } from '../chain/compare.js'
import { combine, words } from '../chain/place/distance/combine.js'
import { flatUntil } from '../chain/place/distance/earth.js'
import { comparePerspective, filmedView } from '../chain/place/distance/perspective.js'
import { type Pixel, type Sight, tiltDeg } from '../chain/place/distance/sight.js'
import { pixelsOfHeight } from '../chain/place/distance/upright.js'
import type { Length } from '../chain/place/distance/ways.js'
import { Problem, type Reading, told } from '../core/index.js'
import { elementOf } from '../shot/edit.js'
import type { Shot, ShotElement } from '../shot/schema.js'
import { drawnHeight, sizeOf, viewOfPlace } from './checkPlace.js'
import { type Known, knownDistance, type Ways, waysTo } from './distanceWays.js'
import { type Picture, pictureOf } from './plan.js'
import { type Placed, placedFoot, plateSight } from './plateSight.js'
import { scaleOf } from './settings.js'
import { findFiles } from './stage.js'

/** `12.3 ± 0.4 m` */
export const lengthWords = words

export interface DistanceAsked extends Known {
  readonly element?: string | undefined
  /** A place of the plate: where something touches the ground. Goes before the element's own foot. */
  readonly at?: Pixel | undefined
}

export interface DistanceResult {
  readonly element?: string
  readonly foot: Pixel | undefined
  /** Why an element that is asked for has no foot here. */
  readonly noFoot?: string
  readonly camera: { readonly focalPx: number; readonly tiltDeg: number | undefined }
  readonly ways: Ways
  readonly together: Reading<Length>
  /** Known things of the plate: how far away each of them is. */
  readonly known: readonly Reading<Length>[]
  /** As the document has it. */
  readonly documentM: number | undefined
  /** From here on flat ground would be 5 % off: the earth is round. */
  readonly flatUntilM: number | undefined
  /** What a metre, and the element's own height, come to at distances. */
  readonly table: readonly {
    readonly metres: number
    readonly pixelsPerMetre: number
    readonly elementPx: number | undefined
  }[]
  /** What the element's pixels come to at that distance, m, and what that says against it. */
  readonly drawnM: number | undefined
  readonly wrongSize: Verdict | undefined
  /** How it was filmed against how the plate looks at it. */
  readonly warnings: readonly string[]
}

const ROUND = 0.05
const STEPS = [0.5, 0.75, 1, 1.5, 2, 4] as const

/** @throws Problem `shot.unknown-element`, `place.no-camera`, `place.outside`, or as the files cannot be opened */
export async function distanceOf(shot: Shot, folder: string, asked: DistanceAsked): Promise<DistanceResult> {
  const e = asked.element === undefined ? undefined : elementOf(shot, asked.element)
  const files = await findFiles({ ...shot, elements: e === undefined ? [] : [e] }, folder)
  const [plate, picture] = ['plate', e?.id].map((id) => {
    const found = id === undefined ? undefined : files.get(id)
    if (found instanceof Problem) throw found
    return found && pictureOf(found)
  }) as [Picture, Picture | undefined]
  const sight = plateSight(shot, plate)
  if (typeof sight === 'string') throw noCamera(sight)
  if (asked.at !== undefined) checkInside(asked.at, plate)
  const placed = e && picture && placedFoot(sized(e, picture, shot, plate), picture, shot, plate)
  const foot = asked.at ?? (typeof placed === 'object' ? placed.foot : undefined)
  const ways = waysTo(shot, sight, foot, asked)
  const together = combine(
    typeof placed === 'string' && asked.at === undefined ? { ...ways, ground: { cannotTell: placed } } : ways,
  )
  const own = e && picture && typeof placed === 'object' ? { e, picture, placed } : undefined
  return {
    ...(e === undefined ? {} : { element: e.id }),
    foot,
    ...(foot === undefined && e !== undefined ? { noFoot: noFootOf(e, placed) } : {}),
    camera: { focalPx: sight.focalPx.value, tiltDeg: sight.line && tiltDeg(sight) },
    ways,
    together,
    known: (shot.site.known ?? []).map((k) => knownDistance(k, sight)),
    documentM: e?.distanceM,
    flatUntilM: shot.camera.heightM && flatUntil(shot.camera.heightM, ROUND),
    table: tableOf(sight, foot, told(together) ? together.value.metres : e?.distanceM, e?.heightM),
    ...ofElement(own, shot, plate, sight, together),
  }
}

/** Without a size of its own an element can still be asked for its place. */
function sized(e: ShotElement, picture: Picture, shot: Shot, plate: Picture): ShotElement {
  const { heightM: _, ...rest } = e
  return { ...rest, scale: scaleOf(e, picture, shot, plate.width) }
}

function ofElement(
  own: { e: ShotElement; picture: Picture; placed: Placed } | undefined,
  shot: Shot,
  plate: Picture,
  sight: Sight,
  together: Reading<Length>,
): Pick<DistanceResult, 'drawnM' | 'wrongSize' | 'warnings'> {
  if (own === undefined) return { drawnM: undefined, wrongSize: undefined, warnings: [] }
  const { e, picture, placed } = own
  const whole = { x: 0, y: 0, width: plate.width, height: plate.height }
  const seen = { frames: [placed.frame], region: whole }
  const [size] = sizeOf(e, { shot, plate, picture }, sight, placed, together, seen)
  const metres = told(together) ? together.value.metres : e.distanceM
  return {
    drawnM: metres && drawnHeight(e, picture, sight, placed, metres),
    wrongSize: size?.verdicts[0],
    warnings: comparePerspective(
      filmedView(e.filmed ?? {}, e.heightM, e.depthM),
      viewOfPlace(e, shot, sight, placed, together),
    ).warnings,
  }
}

/** Upright heights in pixels, standing where the place is, or in the middle of the picture, at distances around its own. */
function tableOf(
  sight: Sight,
  foot: Pixel | undefined,
  metres: number | undefined,
  heightM: number | undefined,
): DistanceResult['table'] {
  const at = foot ?? [sight.width / 2, sight.height / 2]
  const around = metres ?? 10
  return STEPS.map((k) => k * around).map((m) => ({
    metres: m,
    pixelsPerMetre: 10 * (pixelsOfHeight(sight, at, m, 0.1) ?? Number.NaN),
    elementPx: heightM && pixelsOfHeight(sight, at, m, heightM),
  }))
}

function noFootOf(e: ShotElement, placed: Placed | string | undefined): string {
  if (typeof placed === 'string') return placed
  return `elements.${e.id}.foot is not told`
}

function checkInside([x, y]: Pixel, { width, height }: Picture): void {
  if (x >= 0 && y >= 0 && x <= width && y <= height) return
  throw new Problem({
    code: 'place.outside',
    what: 'This place lies outside of the plate',
    where: '--at',
    expected: `within ${width}×${height}`,
    received: `${x},${y}`,
    remedy: 'Name a pixel of the plate, from its upper left.',
  })
}

function noCamera(what: string): Problem {
  return new Problem({
    code: 'place.no-camera',
    what: `Pixels cannot become metres: ${what}`,
    where: 'camera',
    expected: 'focalLengthMm and sensorWidthMm, and of a horizon two points side by side',
    remedy: 'Write them into the document.',
  })
}
