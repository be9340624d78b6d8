/**
 * Film Gen5: V = A·ln(L + B) + C for L ≥ 0.005, else D·L + E.
 *
 * Source: [gen5-2021].
 * @example 18 % grey → 0.383562
 */
import { logCurve } from './log.js'

export const filmGen5 = logCurve(
  {
    name: 'film-gen5',
    formula:
      'V = 0.08692876065491224 ln(L + 0.005494072432257808) + 0.5300133392291939 for L ≥ 0.005, else 8.283605932402494 L + 0.09246575342465753',
    source: 'gen5-2021',
  },
  {
    base: Math.E,
    a: 1,
    b: 0.005494072432257808,
    c: 0.08692876065491224,
    d: 0.5300133392291939,
    cut: 0.005,
    e: 8.283605932402494,
    f: 0.09246575342465753,
  },
)
