/**
 * RED Log3G10, third version: V = 0.224282·log10(155.975327·(L + 0.01) + 1) for L ≥ −0.01, else 15.1927·(L + 0.01).
 *
 * Source: [red2017].
 * @example 18 % grey is 1/3; code 1 is 184.3, ten stops above it
 */
import { logCurve } from './log.js'

const A = 155.975327
const SLOPE = 15.1927

export const log3G10 = logCurve(
  {
    name: 'log3g10',
    formula: 'V = 0.224282 log10(155.975327 (L + 0.01) + 1) for L ≥ −0.01, else 15.1927 (L + 0.01)',
    source: 'red2017',
  },
  { base: 10, a: A, b: A * 0.01 + 1, c: 0.224282, d: 0, cut: -0.01, e: SLOPE, f: SLOPE * 0.01 },
)
