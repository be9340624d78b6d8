/** What a camera makes of a scene's light in the end: noise in code values, eight bits, and back to light. */

import type { FloatImage } from '../../src/core/index.js'
import { normal } from '../worlds/chance.js'

/** Standard deviation of the noise, 8-bit code values. */
export const NOISE = 0.7

/** Code value, 0 to 1, of linear light and back (IEC 61966-2-1). */
export const encode = (v: number) => (v <= 0.0031308 ? 12.92 * v : 1.055 * v ** (1 / 2.4) - 0.055)
export const decode = (v: number) => (v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4)

export function filmed({ region, data }: FloatImage, seed: number): FloatImage {
  const out = data.map((v, i) => {
    const code = 255 * encode(Math.max(v, 0)) + NOISE * normal(seed, i)
    return decode(Math.min(255, Math.max(0, Math.round(code))) / 255)
  })
  return { region, data: out }
}

/** BT.709 luminance. */
export function luminance({ data }: FloatImage): Float64Array {
  return Float64Array.from(
    { length: data.length / 4 },
    (_, p) => 0.2126 * data[4 * p]! + 0.7152 * data[4 * p + 1]! + 0.0722 * data[4 * p + 2]!,
  )
}
