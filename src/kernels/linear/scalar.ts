/**
 * Linear operations on the colour of a picture, in place; alpha stays.
 *
 *   matrix  c′ = M·c      gain  c′ = g·c per channel
 */
import type { FloatImage, Rgb } from '../../core/index.js'

/** `m9`: nine numbers, row by row. */
export function applyMatrix(image: FloatImage, m9: readonly number[]): void {
  const [a, b, c, d, e, f, g, h, k] = m9 as [
    number,
    number,
    number,
    number,
    number,
    number,
    number,
    number,
    number,
  ]
  const { data } = image
  for (let i = 0; i < data.length; i += 4) {
    const x = data[i]
    const y = data[i + 1]
    const z = data[i + 2]
    data[i] = a * x + b * y + c * z
    data[i + 1] = d * x + e * y + f * z
    data[i + 2] = g * x + h * y + k * z
  }
}

/** Multiplies R, G and B by their own factors. */
export function applyGain(image: FloatImage, gain: Rgb): void {
  const [r, g, b] = gain
  const { data } = image
  for (let i = 0; i < data.length; i += 4) {
    data[i] *= r
    data[i + 1] *= g
    data[i + 2] *= b
  }
}
