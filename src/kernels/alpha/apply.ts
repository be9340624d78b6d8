/**
 * Steps between straight and premultiplied colour, in place, in single precision.
 *
 * Source: [porter1984]; half of a medium by Beer and Lambert: α½ = 1 − √(1 − α), C½ = C / (1 + √(1 − α)).
 */
import type { FloatImage } from '../../core/index.js'
import { at } from '../wasm/images.js'
import { simd } from '../wasm/module.js'

/** Holds alpha within 0 to 1; `divide`: and makes colour straight where alpha is above 0. */
export function holdAlpha({ data }: FloatImage, divide: boolean): void {
  at(data, true, (address) => simd.holdAlpha(address, data.length >> 2, divide ? 1 : 0))
}

/** Colour times alpha, which is held within 0 to 1; `always`: where it is 0 too, else colour stands there as it is. */
export function timesAlpha({ data }: FloatImage, always: boolean): void {
  at(data, true, (address) => simd.timesAlpha(address, data.length >> 2, always ? 1 : 0))
}

export function setAlpha({ data }: FloatImage, alpha: number): void {
  at(data, true, (address) => simd.setAlpha(address, data.length >> 2, alpha))
}

/** Alpha becomes the brightest colour, within 0 to 1. */
export function alphaFromLight({ data }: FloatImage): void {
  at(data, true, (address) => simd.alphaFromLight(address, data.length >> 2))
}

/** Half of a medium's depth; `coverage`: what covers R, G, B and alpha, where these lie apart. Both are changed. */
export function halveDepth({ data: light }: FloatImage, coverage: FloatImage | undefined): void {
  at(light, true, (l) => {
    if (coverage === undefined) simd.halveDepth(l, 0, light.length >> 2)
    else at(coverage.data, true, (c) => simd.halveDepth(l, c, light.length >> 2))
  })
}
