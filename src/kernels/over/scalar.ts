/** The composition in plain TypeScript, in single precision: what `simd.ts` must equal to the bit. */
import { type FloatImage, intersect } from '../../core/index.js'

const { fround } = Math

/** `src` over `dst`, into `dst`. */
export function over(dst: FloatImage, src: FloatImage): void {
  const r = intersect(dst.region, src.region)
  const d = dst.data
  const s = src.data
  for (let y = r.y; y < r.y + r.height; y++) {
    let o = 4 * ((y - dst.region.y) * dst.region.width + r.x - dst.region.x)
    let i = 4 * ((y - src.region.y) * src.region.width + r.x - src.region.x)
    for (let x = 0; x < r.width; x++, o += 4, i += 4) {
      const through = fround(1 - s[i + 3])
      d[o] = s[i] + fround(through * d[o])
      d[o + 1] = s[i + 1] + fround(through * d[o + 1])
      d[o + 2] = s[i + 2] + fround(through * d[o + 2])
      d[o + 3] = s[i + 3] + fround(through * d[o + 3])
    }
  }
}

/** Light of `src` added to `dst`, into `dst`. */
export function add(dst: FloatImage, src: FloatImage): void {
  const r = intersect(dst.region, src.region)
  const d = dst.data
  const s = src.data
  for (let y = r.y; y < r.y + r.height; y++) {
    let o = 4 * ((y - dst.region.y) * dst.region.width + r.x - dst.region.x)
    let i = 4 * ((y - src.region.y) * src.region.width + r.x - src.region.x)
    for (let x = 0; x < r.width; x++, o += 4, i += 4) {
      d[o] += s[i]
      d[o + 1] += s[i + 1]
      d[o + 2] += s[i + 2]
      d[o + 3] = Math.min(fround(d[o + 3] + s[i + 3]), 1)
    }
  }
}

/** Colour of `src` added to `dst`, into `dst`, whose alpha stays. */
export function addColour(dst: FloatImage, src: FloatImage): void {
  const r = intersect(dst.region, src.region)
  for (let y = r.y; y < r.y + r.height; y++) {
    const o = 4 * ((y - dst.region.y) * dst.region.width + r.x - dst.region.x)
    const i = 4 * ((y - src.region.y) * src.region.width + r.x - src.region.x)
    for (let k = 0; k < 4 * r.width; k++) if (k % 4 < 3) dst.data[o + k] += src.data[i + k]
  }
}
