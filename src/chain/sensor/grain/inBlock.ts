/**
 * Grain as a block of 16×16 px less its own mean shows it: of what lies in blotches much goes with the mean.
 *
 *   kept = s B_0 + (1 − s) F_0        lag = ((1 − s) F_1 + s B_1) / kept
 *
 *   s  share in blotches     B, F  what they and the fine part leave there at the pixel and the next (`detrended.ts`, `meanOff.ts`)
 *
 * Of two channels the same with what they have in common.
 */
import type { Rgb } from '../../../core/index.js'
import { PAIRS6 } from './cells.js'
import { withoutMean } from './detrended.js'
import { GRAIN_BLOCK as SIDE } from './likeness.js'
import { type Four, meanOff } from './meanOff.js'
import type { GrainMeasure } from './measure.js'
import { tableAt } from './model.js'
import { type Together, together } from './parted.js'

type Norm = Pick<GrainMeasure, 'levels' | 'shown'>

export function shownInBlock({ levels, shown }: Norm, c: number, level: number) {
  const { coarse, lags, variance } = shown
  const [x1, x2, y1, y2] = lags[c] ?? [0, 0, 0, 0]
  const { lost, less } = meanOff([x1, x2, y1, y2], SIDE)
  const share = coarse === undefined ? 0 : tableAt(levels, coarse.share[c] as readonly number[], level)
  const left = (lag: number) => (coarse === undefined ? 0 : share * withoutMean(lag, coarse.size, SIDE))
  const kept = left(0) + (1 - share) * (1 - lost)
  const all = tableAt(levels, variance[c] as readonly number[], level)
  const next = (1 - share) * ((x1 + y1 - less[0] - less[2]) / 2) + left(1)
  return { variance: all * kept, lag: next / Math.max(kept, 1e-6) }
}

/** The whole of it, with what goes with the means. */
export function shownTogether({ levels, shown }: Norm, level: Rgb): Together {
  const { coarse, mix, variance } = shown
  return together(
    at(levels, variance, level),
    coarse === undefined ? NONE : at(levels, coarse.share, level),
    [1, 1, 1, ...mix],
    [1, 1, 1, ...(coarse?.mix ?? NONE)],
  )
}

const NONE = [0, 0, 0] as const

function at(levels: readonly number[], lists: readonly (readonly number[])[], level: Rgb): number[] {
  return lists.map((list, c) => tableAt(levels, list, level[c] as number))
}

/** @param level of R, G, B */
export function togetherInBlock({ levels, shown }: Norm, level: Rgb): Together {
  const { coarse, lags, cross, mix } = shown
  const here = coarse === undefined ? 0 : withoutMean(0, coarse.size, SIDE)
  const alike = [1, 1, 1, ...mix]
  const fine = PAIRS6.map((_, i) => {
    const all = alike[i] as number
    const away = ([...lags, ...cross][i] ?? [0, 0, 0, 0]).map((v) => (all === 0 ? 0 : v / all))
    return all * (1 - meanOff(away as Four, SIDE).lost)
  })
  return together(
    at(levels, shown.variance, level),
    coarse === undefined ? NONE : at(levels, coarse.share, level),
    fine,
    [1, 1, 1, ...(coarse?.mix ?? NONE)].map((v) => v * here),
  )
}
