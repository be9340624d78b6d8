/**
 * The Academy's two logarithmic curves for AP1 light.
 *
 *   ACEScct  V = (log2 L + 9.72)/17.52 for L > 0.0078125, else 10.5402377416545·L + 0.0729055341958355
 *   ACEScc   V = (log2 L + 9.72)/17.52 for L ≥ 2^−15,  (log2(2^−16 + L/2) + 9.72)/17.52 for 0 ≤ L < 2^−15
 *
 * ACEScc ends at L = 0 (V = −0.358447); below it goes on here point-symmetric about that end, so that what lies there comes
 * back. Neither is held at 65504, the largest half float, as the documents do for their files.
 *
 * Source: [s2014-003], [s2016-001].
 * @example 18 % grey → 0.413588 in both
 */
import { log2, pow } from '../../core/index.js'
import { curve } from './curve.js'
import { logCurve } from './log.js'

export const acesCct = logCurve(
  {
    name: 'acescct',
    formula: 'V = (log2 L + 9.72)/17.52 for L > 0.0078125, else 10.5402377416545 L + 0.0729055341958355',
    source: 's2016-001',
  },
  {
    base: 2,
    a: 1,
    b: 0,
    c: 1 / 17.52,
    d: 9.72 / 17.52,
    cut: 0.0078125,
    e: 10.5402377416545,
    f: 0.0729055341958355,
  },
)

const CUT = 2 ** -15
const code = (light: number) => (log2(light < CUT ? CUT / 2 + light / 2 : light) + 9.72) / 17.52
const CUT_CODE = code(CUT)
const END = code(0)

function light(v: number): number {
  const l = pow(2, 17.52 * v - 9.72)
  return v < CUT_CODE ? 2 * l - CUT : l
}

export const acesCc = curve({
  name: 'acescc',
  decode: (v) => (v < END ? -light(2 * END - v) : light(v)),
  encode: (l) => (l < 0 ? 2 * END - code(-l) : code(l)),
  formula: 'V = (log2 L + 9.72)/17.52 for L ≥ 2^−15, else (log2(2^−16 + L/2) + 9.72)/17.52',
  domain: 'all numbers; the document ends at L = 0, below it is mirrored about that end',
  source: 's2014-003',
})
