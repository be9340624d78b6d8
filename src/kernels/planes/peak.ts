/**
 * Touched code values held to 0 … 1 per channel, as a camera clips, or to the plate's own where that goes further. Y′CbCr
 * would clip each plane for itself and turn a bright flame to lemon.
 *
 *   v = min(max(v, min(own, 0)), max(own, 1))
 *
 * A plate that is no number counts as 0.
 *
 * Source: common practice.
 */
import type { FloatImage } from '../../core/index.js'
import { at } from '../wasm/images.js'
import { simd } from '../wasm/module.js'

/** In place; `own` is the plate's picture of the same region, `touched` one byte a pixel. Alpha stays. */
export function holdToPeak({ data }: FloatImage, own: FloatImage, touched: Uint8Array): void {
  at(data, true, (code) => {
    at(own.data, false, (before) => {
      at(touched, false, (mask) => simd.peakRow(code, before, mask, touched.length))
    })
  })
}
