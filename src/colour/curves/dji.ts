/**
 * DJI D-Log: V = 0.256663·log10(0.9892·L + 0.0108) + 0.584555 for L > 0.0078, else 6.025·L + 0.0929.
 *
 * The maker's decoding prints rounded constants of its own; here decoding is the exact inverse of encoding.
 *
 * Source: [dji2017].
 * @example 18 % grey → 0.398765
 */
import { logCurve } from './log.js'

export const dLog = logCurve(
  {
    name: 'd-log',
    formula: 'V = 0.256663 log10(0.9892 L + 0.0108) + 0.584555 for L > 0.0078, else 6.025 L + 0.0929',
    source: 'dji2017',
  },
  { base: 10, a: 0.9892, b: 0.0108, c: 0.256663, d: 0.584555, cut: 0.0078, e: 6.025, f: 0.0929 },
)
