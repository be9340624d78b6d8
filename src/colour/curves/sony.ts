/**
 * Sony S-Log3.
 *
 *   V = (420 + 261.5·log10((L + 0.01)/(0.18 + 0.01)))/1023       for L ≥ 0.01125
 *   V = (L·(171.2102946929 − 95)/0.01125 + 95)/1023              below
 *
 * The pieces meet in value; the slope steps from 5.2 to 6.6 at the cut, as printed.
 *
 * Source: [sony-slog3].
 * @example black 95, 18 % grey 420, 90 % white 598 of 10 bits
 */
import { logCurve } from './log.js'

export const sLog3 = logCurve(
  {
    name: 's-log3',
    formula:
      'V = (420 + 261.5 log10((L + 0.01)/0.19))/1023 for L ≥ 0.01125, else (L·76.2102946929/0.01125 + 95)/1023',
    source: 'sony-slog3',
  },
  {
    base: 10,
    a: 1 / 0.19,
    b: 0.01 / 0.19,
    c: 261.5 / 1023,
    d: 420 / 1023,
    cut: 0.01125,
    e: (171.2102946929 - 95) / 0.01125 / 1023,
    f: 95 / 1023,
  },
)
