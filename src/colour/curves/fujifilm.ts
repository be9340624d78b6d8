/**
 * Fujifilm F-Log2: V = 0.245281·log10(5.555556·L + 0.064829) + 0.384316 for L ≥ 0.000889, else 8.799461·L + 0.092864.
 *
 * Source: [fujifilm-flog2] §2-2.
 * @example 0, 18 and 90 % are 95, 400 and 570 of 10 bits
 */
import { logCurve } from './log.js'

export const fLog2 = logCurve(
  {
    name: 'f-log2',
    formula:
      'V = 0.245281 log10(5.555556 L + 0.064829) + 0.384316 for L ≥ 0.000889, else 8.799461 L + 0.092864',
    source: 'fujifilm-flog2',
  },
  {
    base: 10,
    a: 5.555556,
    b: 0.064829,
    c: 0.245281,
    d: 0.384316,
    cut: 0.000889,
    e: 8.799461,
    f: 0.092864,
  },
)
