/** The linear operations in plain TypeScript, in single precision: what `simd.ts` must equal to the bit. */
import type { FloatImage, Rgb } from '../../core/index.js'

const { fround } = Math

/** `m9`: nine numbers, row by row. */
export function applyMatrix({ data }: FloatImage, m9: readonly number[]): void {
  const m = Float32Array.from(m9)
  for (let i = 0; i < data.length; i += 4) {
    const x = data[i]
    const y = data[i + 1]
    const z = data[i + 2]
    for (let c = 0; c < 3; c++) {
      const red = fround(m[3 * c] * x)
      const green = fround(m[3 * c + 1] * y)
      const blue = fround(m[3 * c + 2] * z)
      data[i + c] = fround(red + green) + blue
    }
  }
}

/** Multiplies R, G and B by their own factors. */
export function applyGain({ data }: FloatImage, gain: Rgb): void {
  const g = Float32Array.from(gain)
  for (let i = 0; i < data.length; i += 4) for (let c = 0; c < 3; c++) data[i + c] *= g[c]
}

/** Multiplies colour and alpha. */
export function applyScale({ data }: FloatImage, by: number): void {
  const k = fround(by)
  for (let i = 0; i < data.length; i++) data[i] *= k
}

/** Multiplies R, G and B by their own factors, and adds an offset of its own as far as the pixel covers. */
export function applyVeil({ data }: FloatImage, gain: Rgb, offset: Rgb): void {
  const g = Float32Array.from(gain)
  const o = Float32Array.from(offset)
  for (let i = 0; i < data.length; i += 4) {
    for (let c = 0; c < 3; c++) data[i + c] = fround(data[i + c] * g[c]) + fround(o[c] * data[i + 3])
  }
}
