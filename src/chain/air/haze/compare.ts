/**
 * Haze: the blacks of an element at a distance are risen by the air before it, I = J · t + A · (1 − t).
 *
 *   shown = (I − J) / (A − J)     I  its black point in the finished file    J  its black without air, 0 where it is not known
 *
 * The share of air that its blacks show is held against the share that lies before it. Only asked where what is missing can be
 * seen: 0.01 of diffuse white, and a quarter of a stop of the black. Limit: a third of the share missing (a choice).
 */
import type { Region, Rgb } from '../../../core/index.js'
import { type Comparison, cannotTell, quiet, telling } from '../../compare.js'

const LIMIT = 0.33
const VISIBLE = 0.01
const VISIBLE_STOPS = 0.25

export interface HazeLook {
  readonly name: string
  readonly frames: readonly number[]
  readonly region: Region
  /** Black point of the element in the finished file, or nothing when it could not be measured. */
  readonly black: readonly number[] | undefined
  /** Black that it should have without air, where a place to compare with is known. */
  readonly clear: Rgb | undefined
  readonly transmittance: Rgb | undefined
  readonly airlight: Rgb | undefined
  readonly distanceM: number | undefined
}

export function compareHaze(l: HazeLook): Comparison {
  const none = (why: string) => cannotTell('haze', 'air', why)
  if (l.transmittance === undefined || l.airlight === undefined)
    return none('the air before the element is not known')
  if (l.black === undefined) return none('the element nowhere covers enough of the plate by itself')
  const share = 1 - mean(l.transmittance)
  const light = mean(l.airlight)
  if (share * light < VISIBLE) return quiet({ air: [share] })
  const black = Math.max(mean(l.black as Rgb), 0)
  // A black nearer to the air than half of it says too little of the air's share.
  const clear = Math.min(l.clear === undefined ? 0 : Math.max(mean(l.clear), 0), light / 2)
  const shown = Math.max((black - clear) / (light - clear), 0)
  const missing = (share - shown) / share
  const wanted = clear + (light - clear) * share
  const unseen = wanted - black < VISIBLE || Math.log2(wanted / Math.max(black, 1e-6)) < VISIBLE_STOPS
  if (missing <= LIMIT || unseen) return quiet({ air: [Math.min(shown, 1)] })
  const far = l.distanceM === undefined ? 'its distance' : `${Math.round(l.distanceM)} m`
  return telling(
    {
      tell: 'haze',
      link: 'air',
      frames: l.frames,
      region: l.region,
      unit: '–',
      measured: shown,
      expected: share,
      limit: share * (1 - LIMIT),
      confidence: 0.6,
      sentence: `${l.name} shows ${Math.round(100 * missing)} % too little haze for ${far}.`,
      cause: 'Its blacks are deeper than the air between it and the camera lets through.',
      remedy: 'Check the distance and the visibility, then fit again.',
      contrast: missing / LIMIT,
    },
    { air: [shown] },
  )
}

function mean(v: Rgb): number {
  return (v[0] + v[1] + v[2]) / 3
}
