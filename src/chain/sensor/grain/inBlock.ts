/**
 * Grain as a block of 16×16 px less its own mean shows it: of what lies in blotches much goes with the mean.
 *
 *   kept = s B_0 + (1 − s) (1 − S/n)        lag = ((1 − s) (ρ − S/n) + s B_1) / kept
 *
 *   s  share in blotches     B  what they leave there at the pixel and the next (`detrended.ts`)
 *   ρ  the fine part's correlation with the next pixel     S  sum of it over all places, n = 256 pixels
 */
import { withoutMean } from './detrended.js'
import { GRAIN_BLOCK as SIDE } from './likeness.js'
import type { GrainMeasure } from './measure.js'
import { tableAt } from './model.js'

export function shownInBlock(
  { levels, shown }: Pick<GrainMeasure, 'levels' | 'shown'>,
  c: number,
  level: number,
) {
  const { coarse, lags, variance } = shown
  const [x1, x2, y1, y2] = lags[c] ?? [0, 0, 0, 0]
  const lost = (Math.max(1 + 2 * x1 + 2 * x2, 0) * Math.max(1 + 2 * y1 + 2 * y2, 0)) / SIDE ** 2
  const share = coarse === undefined ? 0 : tableAt(levels, coarse.share[c] as readonly number[], level)
  const left = (lag: number) => (coarse === undefined ? 0 : share * withoutMean(lag, coarse.size, SIDE))
  const kept = left(0) + (1 - share) * (1 - Math.min(lost, 1))
  const all = tableAt(levels, variance[c] as readonly number[], level)
  const next = (1 - share) * ((x1 + y1) / 2 - lost) + left(1)
  return { variance: all * kept, lag: next / Math.max(kept, 1e-6) }
}
