/**
 * ARRI LogC3 (ALEXA, SUP 3) by exposure index, and LogC4 (ALEXA 35).
 *
 *   LogC3  V = c·log10(a·L + b) + d for L > cut, else e·L + f;  a = 1/0.18
 *   LogC4  V = (log2(a·L + 64) − 6)/14·b + c for L ≥ t, else (L − t)/s
 *          a = (2^18 − 16)/117.45, b = 928/1023, c = 95/1023
 *          t: where the logarithm meets code 0; s: light per code there, 7·ln2·2^(7 − 14c/b)/(a·b)
 *
 *   L  light, 18 % grey = 0.18 in each; V code value
 *
 * Exposure indices beyond 800 are left out: there the camera bends the curve's top as well.
 *
 * Source: [arri2012], table "linear scene exposure factor"; [arri2022] §4.1.
 * @example LogC3 at EI 800 of 0.18 → 0.391007 (400 of 1023); LogC4 of 0.18 → 0.278396
 */
import { pow } from '../../core/index.js'
import type { Curve } from './curve.js'
import { logCurve } from './log.js'

type Index = 160 | 200 | 250 | 320 | 400 | 500 | 640 | 800

/** cut, b, c, d, e, f. */
const table: Readonly<Record<Index, readonly [number, number, number, number, number, number]>> = {
  160: [0.005561, 0.080216, 0.269036, 0.381991, 5.842037, 0.092778],
  200: [0.006208, 0.076621, 0.266007, 0.382478, 5.776265, 0.092782],
  250: [0.006871, 0.072941, 0.262978, 0.382966, 5.710494, 0.092786],
  320: [0.007622, 0.068768, 0.259627, 0.383508, 5.637732, 0.092791],
  400: [0.008318, 0.064901, 0.256598, 0.383999, 5.57196, 0.092795],
  500: [0.009031, 0.060939, 0.253569, 0.384493, 5.506188, 0.0928],
  640: [0.00984, 0.056443, 0.250219, 0.38504, 5.433426, 0.092805],
  800: [0.010591, 0.052272, 0.24719, 0.385537, 5.367655, 0.092809],
}

/** The curve of one exposure index, `logc3-ei800` and so on. */
export function logC3(index: Index): Curve {
  const [cut, b, c, d, e, f] = table[index]
  return logCurve(
    {
      name: `logc3-ei${index}`,
      formula: `V = ${c} log10(5.555556 L + ${b}) + ${d} for L > ${cut}, else ${e} L + ${f}`,
      source: 'arri2012',
    },
    { base: 10, a: 5.555556, b, c, d, cut, e, f },
  )
}

const A = (2 ** 18 - 16) / 117.45
const B = 928 / 1023
const C = 95 / 1023
const S = (7 * Math.LN2 * pow(2, 7 - (14 * C) / B)) / (A * B)
const T = (pow(2, (-14 * C) / B + 6) - 64) / A

export const logC4 = logCurve(
  {
    name: 'logc4',
    formula: 'V = (log2(a L + 64) − 6)/14·b + c for L ≥ t, else (L − t)/s; a = (2^18 − 16)/117.45',
    source: 'arri2022',
  },
  { base: 2, a: A, b: 64, c: B / 14, d: C - (6 * B) / 14, cut: T, e: 1 / S, f: -T / S },
)
