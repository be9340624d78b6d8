/**
 * Apple Log.
 *
 *   V = γ·log2(L + β) + δ    for L ≥ Rt
 *   V = c·(L − R0)²          for R0 ≤ L < Rt;   the maker's V is 0 below R0
 *
 *   R0 = −0.05641088, Rt = 0.01, c = 47.28711236, β = 0.00964052, γ = 0.08550479, δ = 0.69336945
 *
 * Below R0 it goes on here as −c·(L − R0)², so that what lies there comes back; a file's codes stop at 0.
 *
 * Source: [apple2023].
 * @example 18 % grey → 0.488272; code 1 is 12 × white
 */
import { log2, pow } from '../../core/index.js'
import { curve, mirrored } from './curve.js'

const R0 = -0.05641088
const RT = 0.01
const C = 47.28711236
const BETA = 0.00964052
const GAMMA = 0.08550479
const DELTA = 0.69336945
const CUT = C * (RT - R0) * (RT - R0)

const square = mirrored((x) => C * x * x)
const root = mirrored((code) => Math.sqrt(code / C))

export const appleLog = curve({
  name: 'apple-log',
  decode: (code) => (code < CUT ? root(code) + R0 : pow(2, (code - DELTA) / GAMMA) - BETA),
  encode: (light) => (light < RT ? square(light - R0) : GAMMA * log2(light + BETA) + DELTA),
  formula:
    'V = 0.08550479 log2(L + 0.00964052) + 0.69336945 for L ≥ 0.01, else 47.28711236 (L + 0.05641088)²',
  domain: 'all numbers; the maker ends at L = −0.05641088 (V = 0), below it is mirrored',
  source: 'apple2023',
})
