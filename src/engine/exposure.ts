/** When the plate's rows are exposed, and where an element stands in that time. */
import type { Exposed, PlaceMap } from '../chain/place/raster/map.js'
import { moves, rolled } from '../chain/place/raster/rolled.js'
import { ASSUMED_ANGLE } from '../chain/shutter/angle/model.js'
import { rowDelay } from '../chain/shutter/readout/model.js'
import type { Shot, ShotElement } from '../shot/schema.js'
import { strengthOf } from '../shot/strength.js'
import type { Picture, Plan } from './plan.js'
import { plateSettled } from './settings.js'

/** What is said goes before what is measured; degrees. */
export function shutterAngle(shot: Shot): number {
  return shot.camera.shutterAngleDeg ?? plateSettled(shot, 'shutter.angle')?.[0] ?? ASSUMED_ANGLE
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
 * @param when where it stands some frames later; undefined where it is nowhere
 * @param from row of the plate at whose time `when(0)` is said
 */
export function exposedOf(
  own: PlaceMap,
  when: (later: number) => PlaceMap | undefined,
  { open, later }: Exposure,
  from: number,
  { width, height }: Picture,
  rows: number,
): Exposed | undefined {
  const far = later && [later(0, from), later(rows, from)].map(when)
  const rolls = far?.some((map) => map !== undefined && moves(own, map, width, height)) ?? false
  const at = (t: number) => {
    const map = t === 0 ? own : when(t)
    return (
      map &&
      (rolls
        ? rolled(
            map,
            (l) => when(t + l),
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
