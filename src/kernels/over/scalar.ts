/**
 * Premultiplied composition: over C = A + (1 − αA)·B, alpha likewise; add C = A + B, alpha held to 1.
 *
 * `src` lies at its own region of the frame; only where both have pixels does anything happen. A source pixel that
 * is all 0 changes nothing, so a NaN beneath it neither spreads nor heals.
 *
 * Source: [porter1984]; add is the sum of light of an emitter that hides nothing.
 * @example (.4, .2, .1; .5) over (.1, .3, .6; .8) → (.45, .35, .40; .9)
 */
import { type FloatImage, intersect } from '../../core/index.js'

/** `src` over `dst`, into `dst`. */
export function over(dst: FloatImage, src: FloatImage): void {
  const r = intersect(dst.region, src.region)
  const d = dst.data
  const s = src.data
  for (let y = r.y; y < r.y + r.height; y++) {
    let o = 4 * ((y - dst.region.y) * dst.region.width + r.x - dst.region.x)
    let i = 4 * ((y - src.region.y) * src.region.width + r.x - src.region.x)
    for (let x = 0; x < r.width; x++, o += 4, i += 4) {
      const through = 1 - s[i + 3]
      d[o] = s[i] + through * d[o]
      d[o + 1] = s[i + 1] + through * d[o + 1]
      d[o + 2] = s[i + 2] + through * d[o + 2]
      d[o + 3] = s[i + 3] + through * d[o + 3]
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
      d[o + 3] = Math.min(d[o + 3] + s[i + 3], 1)
    }
  }
}
