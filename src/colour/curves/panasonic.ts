/**
 * Panasonic V-Log: V = c·log10(L + b) + d for L ≥ 0.01, else 5.6·L + 0.125; b = 0.00873, c = 0.241514, d = 0.598206.
 *
 * Source: [panasonic-vlog] §3.
 * @example 0, 18 and 90 % are 128, 433 and 602 of 10 bits
 */
import { logCurve } from './log.js'

export const vLog = logCurve(
  {
    name: 'v-log',
    formula: 'V = 0.241514 log10(L + 0.00873) + 0.598206 for L ≥ 0.01, else 5.6 L + 0.125',
    source: 'panasonic-vlog',
  },
  { base: 10, a: 1, b: 0.00873, c: 0.241514, d: 0.598206, cut: 0.01, e: 5.6, f: 0.125 },
)
