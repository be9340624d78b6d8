import type { Rgb } from '../../core/index.js'

/** Means in units of the noise below which the gate is closed, and from there to where it is open. */
export const CLOSED = 1.5
export const SPAN = 1.5
const LEAST_NOISE = 1e-6

/** What the sum of a row's rows is multiplied by: one over how many they are and over the noise. Four values, the last 0. */
export function gateScale(noise: Rgb, y: number, height: number): Float32Array {
  const rows = 3 - (y > 0 ? 0 : 1) - (y < height - 1 ? 0 : 1)
  const one = (c: 0 | 1 | 2) => 1 / (rows * Math.max(noise[c], LEAST_NOISE))
  return Float32Array.of(one(0), one(1), one(2), 0)
}
