/**
 * Curves with a linear toe, extended as odd functions below 0 and by the same formula above 1.
 *
 *   sRGB    V = 12.92·L for L ≤ 0.0031308, else 1.055·L^(1/2.4) − 0.055
 *   BT.709  V = 4.5·L   for L < β,         else α·L^0.45 − (α − 1)
 *
 *   L  linear light, diffuse white = 1; V code value; α, β the constants that make value and slope meet at the
 *   join (BT.709 prints 1.099 and 0.018; BT.2020 Table 4 gives the exact condition).
 *
 * BT.709 is the camera's curve: its inverse gives scene light only as far as the camera kept to it, which is why
 * an encoding says that it was assumed.
 *
 * Source: [iec61966-2-1], [bt709], [bt2020].
 * @example sRGB of 0.18 → 0.461356; BT.709 of 0.18 → 0.408848
 */
import { pow } from '../../core/index.js'
import { curve, mirrored } from './curve.js'

const ALPHA = 1.09929682680944
const BETA = 0.018053968510807

const encodeSrgb = mirrored((light) =>
  light <= 0.0031308 ? 12.92 * light : 1.055 * pow(light, 1 / 2.4) - 0.055,
)

export const srgb = curve({
  name: 'srgb',
  decode: mirrored((code) => (code <= 0.04045 ? code / 12.92 : pow((code + 0.055) / 1.055, 2.4))),
  encode: encodeSrgb,
  formula: 'V = 12.92 L for L ≤ 0.0031308, else 1.055 L^(1/2.4) − 0.055',
  domain: 'all numbers; odd extension below 0',
  source: 'iec61966-2-1',
})

const encodeBt709 = mirrored((light) => (light < BETA ? 4.5 * light : ALPHA * pow(light, 0.45) - (ALPHA - 1)))

export const bt709 = curve({
  name: 'bt709',
  decode: mirrored((code) => (code < 4.5 * BETA ? code / 4.5 : pow((code + (ALPHA - 1)) / ALPHA, 1 / 0.45))),
  encode: encodeBt709,
  formula: 'V = 4.5 L for L < β, else α L^0.45 − (α − 1); α = 1.09929682680944, β = 0.018053968510807',
  domain: 'all numbers; odd extension below 0',
  source: 'bt709',
})
