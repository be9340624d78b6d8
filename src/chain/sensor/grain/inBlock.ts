/**
 * Grain as a block of 16×16 px less its own mean shows it: of what lies in blotches much goes with the mean.
 *
 *   kept = 1 − s B − (1 − s) S / n        lag = ((1 − s) (ρ − S/n) + s (ρ_c(1) − B)) / kept
 *
 *   s  share in blotches     B  mean of their correlation over the pairs of a block     S  the same sum of the fine part, n = 256 pixels
 *   ρ  the fine part's correlation with the next pixel, ρ_c  the blotches'
 */
import { blotchLag } from './blotch.js'
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
  const size = coarse?.size ?? 1
  const mean = coarse === undefined ? 0 : meanLag(size) ** 2
  const kept = 1 - share * mean - (1 - share) * Math.min(lost, 1)
  const all = tableAt(levels, variance[c] as readonly number[], level)
  const next = (1 - share) * ((x1 + y1) / 2 - lost) + share * (blotchLag(1, size) - mean)
  return { variance: all * kept, lag: next / Math.max(kept, 1e-6) }
}

/** Over all pairs of a block's columns. */
function meanLag(size: number): number {
  let sum = 0
  for (let i = 0; i < SIDE; i++) for (let j = 0; j < SIDE; j++) sum += blotchLag(i - j, size)
  return sum / SIDE ** 2
}
