/**
 * Display power curves: linear = code^γ, extended as an odd function below 0 so that sub-blacks survive.
 *
 * BT.1886 is L = a·max(V + b, 0)^2.4, a = (Lw^(1/2.4) − Lb^(1/2.4))^2.4, b = Lb^(1/2.4) / (Lw^(1/2.4) − Lb^(1/2.4)), with Lw
 * and Lb the display's white and black. A file does not know them: as its curve the black is 0, which makes it the pure
 * 2.4 power.
 *
 * Source: [bt1886] Annex 1; [iec61966-2-1] for the habit of 2.2, [st428-1] for 2.6; BT.470 for 2.8.
 * @example bt1886 of code 0.5 → 0.189465 (18.9465 cd/m² on a 100 cd/m² display)
 */
import { type CurveName, pow } from '../../core/index.js'
import { type Curve, curve, mirrored } from './curve.js'

const GAMMA = 2.4

export const linear = curve({
  name: 'linear',
  decode: (code) => code,
  encode: (light) => light,
  formula: 'L = V',
  domain: 'all numbers',
  source: 'common practice',
})

/**
 * BT.1886 Annex 1: code value to the luminance of a display in cd/m².
 * @param white luminance at code 1
 * @param black luminance at code 0, below `white`
 */
export function bt1886Luminance(white: number, black: number): (code: number) => number {
  const low = pow(black, 1 / GAMMA)
  const span = pow(white, 1 / GAMMA) - low
  const a = pow(span, GAMMA)
  const b = low / span
  return (code) => a * pow(Math.max(code + b, 0), GAMMA)
}

function power(name: CurveName, gamma: number, source: string): Curve {
  return curve({
    name,
    decode: mirrored((code) => pow(code, gamma)),
    encode: mirrored((light) => pow(light, 1 / gamma)),
    formula: `L = V^${gamma}`,
    domain: 'all numbers; odd extension below 0',
    source,
  })
}

export const bt1886 = power('bt1886', GAMMA, 'bt1886')
export const gamma22 = power('gamma22', 2.2, 'common practice')
export const gamma24 = power('gamma24', 2.4, 'common practice')
export const gamma26 = power('gamma26', 2.6, 'st428-1')
export const gamma28 = power('gamma28', 2.8, 'bt470')
