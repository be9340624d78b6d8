/**
 * The two curves of BT.2100, scaled so that diffuse white = 1 (ARCHITECTURE rule 4).
 *
 *   PQ   Y = (max(V^(1/m2) − c1, 0) / (c2 − c3·V^(1/m2)))^(1/m1),  L = 10000·Y / 203
 *   HLG  E = V²/3 for V ≤ 1/2, else (e^((V − c)/a) + b)/12,        L = E / E(0.75)
 *
 *   V  code value; Y display light / 10000 cd/m²; E scene light of the system's 0..1; L linear light, 1 = 203 cd/m²
 *   (BT.2408 diffuse white) or the 75 % code. HLG stays scene light: no system gamma (OOTF) is applied.
 *
 * Below 0 both are odd. PQ has its pole at V = (c2/c3)^m2 ≈ 1.99: from there on light is infinite. PQ's code of
 * exactly 0 is c1^m2 = 7.3e-7.
 *
 * Source: [bt2100] Tables 4 and 5, [st2084], [bt2408] §2.1.
 * @example PQ of 203 cd/m² → 0.580689; HLG of E = 1/12 → 0.5
 */
import { exp, ln, pow } from '../../core/index.js'
import { curve, mirrored } from './curve.js'

const M1 = 2610 / 16384
const M2 = 2523 / 32
const C1 = 3424 / 4096
const C2 = 2413 / 128
const C3 = 2392 / 128
const WHITE = 203 / 10000

const encodePq = mirrored((light) => {
  const y = pow(light * WHITE, M1)
  return y === Number.POSITIVE_INFINITY ? pow(C2 / C3, M2) : pow((C1 + C2 * y) / (1 + C3 * y), M2)
})

export const pq = curve({
  name: 'pq',
  decode: mirrored((code) => {
    const e = pow(code, 1 / M2)
    const below = C2 - C3 * e
    if (below <= 0) return Number.POSITIVE_INFINITY
    return pow(Math.max(e - C1, 0) / below, 1 / M1) / WHITE
  }),
  encode: encodePq,
  formula: 'L = (max(V^(1/m2) − c1, 0) / (c2 − c3 V^(1/m2)))^(1/m1) · 10000/203',
  domain: 'V below 1.99; infinite from there; odd extension below 0',
  source: 'st2084',
})

const A = 0.17883277
const B = 1 - 4 * A
const C = 0.5 - A * ln(4 * A)
const HLG_WHITE = (exp((0.75 - C) / A) + B) / 12

const encodeHlg = mirrored((light) => {
  const e = light * HLG_WHITE
  return e <= 1 / 12 ? Math.sqrt(3 * e) : A * ln(12 * e - B) + C
})

export const hlg = curve({
  name: 'hlg',
  decode: mirrored((code) => {
    const e = code <= 0.5 ? (code * code) / 3 : (exp((code - C) / A) + B) / 12
    return e / HLG_WHITE
  }),
  encode: encodeHlg,
  formula: 'L = E / E(0.75), E = V²/3 for V ≤ 1/2, else (e^((V − c)/a) + b)/12',
  domain: 'all numbers; odd extension below 0',
  source: 'bt2100',
})
