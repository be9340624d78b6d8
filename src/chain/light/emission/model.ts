/**
 * An emitter in another camera's light: exposure and temperature.
 *
 *   gain = 2^stops · P(T) / P(Tₑ)                per channel, P: Planck's colour at luminance 1
 *   L₁₈  = K · N² / (t · S)                      luminance that the exposure puts at 18 %, cd/m²
 *   diffuse white = L₁₈ / 0.18
 *
 *   T, Tₑ  K; K = 12.5 cd·s·ISO/m² reflected-light meter constant; N f-number; t s; S ISO speed
 *
 * Source: [iso2720] (K), [planck1901].
 */

import { planckRgb } from '../../../colour/planck.js'
import { type Primaries, pow, type Rgb } from '../../../core/index.js'

const METER_CONSTANT = 12.5

/** Factor per channel. Channels that Planck's colour leaves empty in these primaries are held to 1/50 … 50. */
export function emissionGain(
  stops: number,
  temperature: number,
  elementTemperature: number,
  primaries: Primaries,
): Rgb {
  const to = planckRgb(temperature, primaries)
  const from = planckRgb(elementTemperature, primaries)
  const k = pow(2, stops)
  const ratio = (c: 0 | 1 | 2) =>
    k * Math.min(Math.max(Math.max(to[c], 0.004) / Math.max(from[c], 0.004), 0.02), 50)
  return [ratio(0), ratio(1), ratio(2)]
}

/** Luminance in cd/m² that lands on diffuse white (1.0) at this exposure. */
export function whiteLuminance(fNumber: number, shutterSeconds: number, iso: number): number {
  return (METER_CONSTANT * fNumber * fNumber) / (shutterSeconds * iso) / 0.18
}
