/** The floor taken off in plain TypeScript, in single precision: what `simd.ts` must equal to the bit. */
import type { FloatImage, Rgb } from '../../core/index.js'
import { CLOSED, gateScale, SPAN } from './gate.js'

const { fround } = Math

/** See `apply.ts`. */
export function takeFloor({ region, data }: FloatImage, floor: Rgb, noise: Rgb): void {
  const { width, height } = region
  const f = Float32Array.from(floor)
  const plain = data.map((v, i) => (i % 4 === 3 ? v : v - f[i % 4]))
  const rows = (x: number, y: number, c: number) => {
    const at = (v: number) => (v < 0 || v >= height ? 0 : plain[4 * (v * width + x) + c])
    return fround(fround(at(y - 1) + at(y)) + at(y + 1))
  }
  for (let y = 0; y < height; y++) {
    const scale = gateScale(noise, y, height)
    for (let x = 0; x < width; x++) {
      let m = 0
      for (let c = 0; c < 3; c++) {
        const left = x > 0 ? rows(x - 1, y, c) : 0
        const right = x < width - 1 ? rows(x + 1, y, c) : 0
        const sum = fround(fround(left + rows(x, y, c)) + right)
        const columns = 3 - (x > 0 ? 0 : 1) - (x < width - 1 ? 0 : 1)
        const level = fround(fround(sum * scale[c]) * fround(1 / columns))
        if (level > m) m = level
      }
      const t = Math.min(Math.max(fround(fround(m - CLOSED) / SPAN), 0), 1)
      const w = fround(fround(t * t) * fround(3 - fround(2 * t)))
      const i = 4 * (y * width + x)
      for (let c = 0; c < 3; c++) data[i + c] = w === 0 ? 0 : plain[i + c] * w
    }
  }
}
