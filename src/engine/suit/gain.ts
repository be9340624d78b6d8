/**
 * Factor that the element's light will be given, as far as it is known.
 *
 *   exposure  2^stops
 *   match     mean over the channels of (w′ − b′) / (w − b)      white and black of the place and of the element
 *
 * The match counts for what is told to absorb or reflect where its place is told; all else keeps its file's brightness.
 */
import { coveredCells, coverThreshold, pointsOf } from '../../chain/light/match/measure.js'
import type { Points } from '../../chain/light/match/model.js'
import { coverFromLight } from '../../chain/source/alpha/apply.js'
import type { FloatImage } from '../../core/index.js'
import type { Gain } from './black.js'
import type { CutOut } from './cutout.js'
import type { KnownFacts } from './types.js'
import { short } from './verdict.js'

/** Contrast below which a match has no slope. */
const LEAST_SPAN = 1e-5

/** Of what an element covers; nothing when that is too little. */
export type OwnPoints = Points | undefined

/** @param placePoints of the plate where it stands; asked for only where they count */
export function gainFor(known: KnownFacts, own: OwnPoints, placePoints: () => Points | undefined): Gain {
  if (known.stops !== undefined)
    return { factor: 2 ** known.stops, words: `after ${short(known.stops)} stops of exposure`, open: false }
  const covers = known.nature === 'absorbs' || known.nature === 'reflects'
  const place = covers ? placePoints() : undefined
  const slope = place === undefined ? undefined : matchSlope(own, place)
  if (slope !== undefined)
    return { factor: slope, words: `after the match's gain of ${short(slope)}`, open: false }
  return { factor: 1, words: 'as it comes', open: true }
}

/** @param image premultiplied linear light; on black it covers at least as its light says */
export function ownPoints(image: FloatImage, { kind }: Pick<CutOut, 'kind'>): OwnPoints {
  if (kind !== 'alpha' && kind !== 'on-black') return undefined
  const covered = kind === 'alpha' ? image : { region: image.region, data: image.data.slice() }
  if (kind === 'on-black') coverFromLight(covered)
  return pointsOf([coveredCells(covered, coverThreshold([covered]))])
}

/** Nothing when the element has no contrast to speak of. */
export function matchSlope(from: Points | undefined, to: Points): number | undefined {
  if (from === undefined) return undefined
  const slopes = ([0, 1, 2] as const).map((c) => {
    const span = from.white[c] - from.black[c]
    return span < LEAST_SPAN ? Number.NaN : (to.white[c] - to.black[c]) / span
  })
  const mean = slopes.reduce((sum, s) => sum + s / 3, 0)
  return mean > 0 ? mean : undefined
}
