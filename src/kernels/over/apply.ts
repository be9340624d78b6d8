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
import { at } from '../wasm/images.js'
import { simd } from '../wasm/module.js'

/** `src` over `dst`, into `dst`. */
export function over(dst: FloatImage, src: FloatImage): void {
  rows(dst, src, simd.over)
}

/** Light of `src` added to `dst`, into `dst`. */
export function add(dst: FloatImage, src: FloatImage): void {
  rows(dst, src, simd.add)
}

/** Colour of `src` added to `dst`, into `dst`, whose alpha stays. */
export function addColour(dst: FloatImage, src: FloatImage): void {
  rows(dst, src, simd.addColour)
}

function rows(
  dst: FloatImage,
  src: FloatImage,
  row: (dst: number, src: number, pixels: number) => void,
): void {
  const r = intersect(dst.region, src.region)
  at(dst.data, true, (to) => {
    at(src.data, false, (from) => {
      for (let y = r.y; y < r.y + r.height; y++) {
        const d = (y - dst.region.y) * dst.region.width + r.x - dst.region.x
        const s = (y - src.region.y) * src.region.width + r.x - src.region.x
        row(to + 16 * d, from + 16 * s, r.width)
      }
    })
  })
}
