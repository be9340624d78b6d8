import type { CurveName } from '../core/index.js'
import { bt709, srgb } from './camera-curves.js'
import type { Curve } from './curve.js'
import { hlg, pq } from './hdr-curves.js'
import { bt1886, gamma22, gamma24, gamma26, gamma28, linear } from './power-curves.js'

/** Every transfer curve that an encoding can name. */
export const curves: Readonly<Record<CurveName, Curve>> = {
  linear,
  srgb,
  bt709,
  bt1886,
  gamma22,
  gamma24,
  gamma26,
  gamma28,
  pq,
  hlg,
}

/** The record of one curve. */
export function curveOf(name: CurveName): Curve {
  return curves[name]
}
