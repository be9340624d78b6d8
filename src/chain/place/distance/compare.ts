/**
 * Wrong size for its distance, and wrong horizon: facts of the element held against what the plate tells of its place.
 *
 * Size: the height that its pixels come to at the distance that the plate tells, against its real height. Speaks beyond a tenth (a
 * choice: people differ by 7 % among themselves) and two standard deviations of what is known.
 * Horizon: the angle under which the element was filmed against the one under which the plate looks at that place, which is the
 * same as its own horizon against the plate's. Limit 10° (`perspective.ts`) and two standard deviations.
 * Where a fact is missing, neither says anything.
 */
import type { Region } from '../../../core/index.js'
import { type Comparison, quiet, telling } from '../../compare.js'
import { words } from './combine.js'
import { ANGLE_LIMIT_DEG, seenFrom } from './perspective.js'
import type { Measure } from './sight.js'
import type { Length } from './ways.js'

const SIZE_LIMIT = 0.1
const SURE = 2

interface Where {
  readonly name: string
  readonly frames: readonly number[]
  readonly region: Region
}

export interface SizeLook extends Where {
  /** What its pixels come to at `distance`, m. */
  readonly drawnM: number
  readonly real: Measure
  readonly distance: Length
  readonly confidence: number
}

export function compareSize(l: SizeLook): Comparison {
  const ratio = l.drawnM / l.real.value
  const error = Math.sqrt((l.distance.sd / l.distance.metres) ** 2 + (l.real.sd / l.real.value) ** 2)
  const limit = Math.max(SIZE_LIMIT, SURE * error)
  const off = Math.abs(Math.log(ratio))
  const measured = { size: [l.drawnM], real: [l.real.value], distance: [l.distance.metres] }
  if (!(off > Math.log(1 + limit))) return quiet(measured)
  const [large, too] = ratio > 1 ? [ratio, 'large'] : [1 / ratio, 'small']
  return telling(
    {
      tell: 'wrong-size',
      link: 'place',
      frames: l.frames,
      region: l.region,
      unit: 'm',
      measured: l.drawnM,
      expected: l.real.value,
      limit: l.real.value * (ratio > 1 ? 1 + limit : 1 / (1 + limit)),
      confidence: l.confidence,
      sentence: `${l.name} is ${Math.round(100 * (large - 1))} % too ${too} for where it stands: ${l.drawnM.toFixed(2)} m tall instead of ${l.real.value.toFixed(2)} m.`,
      cause: `The plate puts it ${words(l.distance)} away; its pixels there come to another height than its own.`,
      remedy: `Scale it by ${(1 / ratio).toFixed(2)}, or move it to where that size belongs, and check its foot and its distance.`,
      contrast: off / Math.log(1 + limit),
    },
    measured,
  )
}

/** One element on several frames: where it is most wrong, and all frames on which it is. */
export function compareSizes(looks: readonly SizeLook[]): Comparison {
  const all = looks.map(compareSize)
  const off = (c: Comparison) => c.verdicts[0]?.contrast ?? 0
  const worst = all.reduce<Comparison>((a, b) => (off(b) > off(a) ? b : a), all[0] ?? NOTHING)
  const frames = looks.flatMap((l, k) => (off(all[k] as Comparison) > 0 ? l.frames : []))
  return { ...worst, verdicts: worst.verdicts.map((v) => ({ ...v, frames })) }
}

const NOTHING: Comparison = quiet()

export interface HorizonLook extends Where {
  /** Angles under which it was filmed, and the plate looks at its place; above the level positive, degrees. */
  readonly filmedDeg: Measure
  readonly plateDeg: Measure
}

export function compareHorizon(l: HorizonLook): Comparison {
  const apart = l.filmedDeg.value - l.plateDeg.value
  const error = Math.sqrt(l.filmedDeg.sd ** 2 + l.plateDeg.sd ** 2)
  const limit = Math.max(ANGLE_LIMIT_DEG, SURE * error)
  const measured = { horizon: [apart], plateView: [l.plateDeg.value], elementView: [l.filmedDeg.value] }
  if (!(Math.abs(apart) > limit)) return quiet(measured)
  return telling(
    {
      tell: 'wrong-horizon',
      link: 'place',
      frames: l.frames,
      region: l.region,
      unit: '°',
      measured: l.filmedDeg.value,
      expected: l.plateDeg.value,
      limit,
      confidence: 0.6,
      sentence: `${l.name} was filmed ${seenFrom(l.filmedDeg.value)}; this plate looks at it ${seenFrom(l.plateDeg.value)}.`,
      cause: `Its own horizon lies ${Math.abs(apart).toFixed(0)}° ${apart < 0 ? 'above' : 'below'} the plate's.`,
      remedy: 'Take one that was filmed from the height of this camera, or hide where it meets the ground.',
      contrast: Math.abs(apart) / limit,
    },
    measured,
  )
}
