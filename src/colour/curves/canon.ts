/**
 * Canon Log 2 and 3 as of 2020, over the whole range of codes.
 *
 *   u = L/0.9  (Canon's scale: 1 is 90 % reflectance)
 *   Log 2  V = 0.092864125 ± 0.24136077·log10(87.099375·|u| + 1)
 *   Log 3  V = 0.12240537 + 0.36726845·log10(14.98325·u + 1)   for u > 0.014
 *          V = 0.12512219 + 1.9754798·u                        for |u| ≤ 0.014
 *          V = 0.12783901 − 0.36726845·log10(1 − 14.98325·u)   for u < −0.014
 *
 * Both are point-symmetric about (0, V(0)): the branch below 0 is the maker's own.
 *
 * Source: [canon2020].
 * @example 18 % grey: Log 2 0.398255, Log 3 0.343389
 */
import { log10, pow } from '../../core/index.js'
import { type Curve, curve } from './curve.js'

/** Point symmetry about (0, `black`), from the half at and above it. */
function symmetric(
  black: number,
  decode: (code: number) => number,
  encode: (light: number) => number,
): Pick<Curve, 'decode' | 'encode'> {
  return {
    decode: (code) => (code < black ? -decode(2 * black - code) : decode(code)),
    encode: (light) => (light < 0 ? 2 * black - encode(-light) : encode(light)),
  }
}

const REFLECTANCE = 0.9
const C2 = 0.24136077
const A2 = 87.099375
const BLACK2 = 0.092864125

export const canonLog2 = curve({
  name: 'canon-log-2',
  ...symmetric(
    BLACK2,
    (code) => ((pow(10, (code - BLACK2) / C2) - 1) / A2) * REFLECTANCE,
    (light) => C2 * log10((A2 * light) / REFLECTANCE + 1) + BLACK2,
  ),
  formula: 'V = 0.092864125 ± 0.24136077 log10(87.099375 |L|/0.9 + 1)',
  domain: 'all numbers; symmetric about black',
  source: 'canon2020',
})

const C3 = 0.36726845
const A3 = 14.98325
const D3 = 0.12240537
const BLACK3 = 0.12512219
const SLOPE3 = 1.9754798
const CUT3 = 0.014

export const canonLog3 = curve({
  name: 'canon-log-3',
  ...symmetric(
    BLACK3,
    (code) =>
      (code <= SLOPE3 * CUT3 + BLACK3 ? (code - BLACK3) / SLOPE3 : (pow(10, (code - D3) / C3) - 1) / A3) *
      REFLECTANCE,
    (light) => {
      const u = light / REFLECTANCE
      return u <= CUT3 ? SLOPE3 * u + BLACK3 : C3 * log10(A3 * u + 1) + D3
    },
  ),
  formula:
    'u = L/0.9; V = 0.36726845 log10(14.98325 u + 1) + 0.12240537 for u > 0.014, 1.9754798 u + 0.12512219 for |u| ≤ 0.014',
  domain: 'all numbers; symmetric about black',
  source: 'canon2020',
})
