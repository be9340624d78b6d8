/** When the plate's rows are exposed, and where an element stands in that time. */
import type { Exposed, PlaceMap } from '../chain/place/raster/map.js'
import { moves, rolled } from '../chain/place/raster/rolled.js'
import { ASSUMED_ANGLE } from '../chain/shutter/angle/model.js'
import { rowDelay } from '../chain/shutter/readout/model.js'
import { confidenceOf, type Evidence, Problem } from '../core/index.js'
import type { Shot, ShotElement } from '../shot/schema.js'
import { strengthOf } from '../shot/strength.js'
import type { Picture, Plan } from './plan.js'
import { plateSettled } from './plateSettings.js'

/** What is set by hand goes before what the camera says, and that before what is measured; degrees. */
export function shutterAngle(shot: Shot): number {
  const [byHand, fitted] = [plateSettled(shot, 'shutter.angle', 'set'), plateSettled(shot, 'shutter.angle')]
  return byHand?.[0] ?? shot.camera.shutterAngleDeg ?? fitted?.[0] ?? ASSUMED_ANGLE
}

/** Nobody says it, and no plate showed it. */
export function shutterAssumed(shot: Shot): boolean {
  if (shot.camera.shutterAngleDeg !== undefined) return false
  const told = plateSettled(shot, 'shutter.angle')
  return told === undefined || plateSettled(shot, 'shutter.angle', 'assumed') !== undefined
}

/** How sure the angle is. */
export function shutterTrust(shot: Shot): number {
  const t = shot.plate.treatments['shutter.angle']
  if (t !== undefined && 'value' in t) return confidenceOf(t.evidence as Evidence)
  return shot.camera.shutterAngleDeg === undefined ? 0 : 1
}

/** Whether anything is blurred over the shutter, or its light reckoned through it. */
export function asksForShutter(shot: Shot): boolean {
  return somethingGoes(shot) || shot.elements.some((e) => isToppedUp(e) || reckonsLight(e, shot))
}

function somethingGoes({ elements, shapes }: Shot): boolean {
  return elements.some(goes) || shapes.some(({ keys, follow }) => follow !== undefined || keys.length > 1)
}

function goes({ keys = [], follow, drift }: ShotElement): boolean {
  const [first] = keys
  const stay = keys.every((k) => k.dx === first?.dx && k.dy === first.dy && k.scale === first.scale)
  return follow !== undefined || drift !== undefined || !stay
}

function isToppedUp({ filmed }: ShotElement): boolean {
  return filmed?.shutterAngleDeg !== undefined
}

function reckonsLight({ luminanceCdM2 }: ShotElement, { camera }: Shot): boolean {
  return luminanceCdM2 !== undefined && camera.iso !== undefined && camera.fNumber !== undefined
}

/** What a render says where it blurs by an angle that is said nowhere. */
export function shutterFindings(shot: Shot): Problem[] {
  const said = shot.camera.shutterAngleDeg ?? plateSettled(shot, 'shutter.angle')
  if (said !== undefined || !somethingGoes(shot)) return []
  return [
    new Problem({
      code: 'shutter.assumed',
      what: `Nothing says how long the shutter was open: ${ASSUMED_ANGLE}° are assumed for what moves`,
      where: 'camera.shutterAngleDeg',
      remedy: 'Say it where it is known, or let `fit` look for it in the plate.',
    }),
  ]
}

export interface Exposure {
  /** Frames that the shutter is open. */
  readonly open: number
  /** Frames by which a row is later than the one for which a place is said; undefined where all are read at once. */
  readonly later: ((y: number, from: number) => number) | undefined
}

/** As far as an element gets the shutter's treatment. */
export function exposureOf({ shot, plate }: Pick<Plan, 'shot' | 'plate'>, e: ShotElement): Exposure {
  const strength = strengthOf(e, 'shutter')
  const { readoutMs } = shot.camera
  const open = (strength * shutterAngle(shot)) / 360
  if (readoutMs === undefined || strength === 0) return { open, later: undefined }
  const frames = (plate.rate.num / plate.rate.den) * strength
  const readout = { seconds: readoutMs / 1000, rows: plate.height }
  return { open, later: (y, from) => frames * rowDelay(readout, y, from) }
}

/**
 * @param when where it stands at a moment of the exposure, frames from its middle, on rows that are so much later; undefined where it is nowhere
 * @param from row of the plate at whose time `when(0, 0)` is said
 */
export function exposedOf(
  own: PlaceMap,
  when: (moment: number, later: number) => PlaceMap | undefined,
  { open, later }: Exposure,
  from: number,
  { width, height }: Picture,
  rows: number,
): Exposed | undefined {
  const far = later && [later(0, from), later(rows, from)].map((l) => when(0, l))
  const rolls = far?.some((map) => map !== undefined && moves(own, map, width, height)) ?? false
  const at = (t: number) => {
    const map = t === 0 ? own : when(t, 0)
    return (
      map &&
      (rolls
        ? rolled(
            map,
            (l) => when(t, l),
            (y) => later?.(y, from) ?? 0,
          )
        : map)
    )
  }
  const [map, before, after] = [at(0) as PlaceMap, at(-open / 2), at(open / 2)]
  const goes = [before, after].some((m) => m !== undefined && moves(map, m, width, height))
  const ends = goes && before !== undefined && after !== undefined ? ([before, after] as const) : undefined
  return rolls || ends !== undefined ? { map, ends } : undefined
}
