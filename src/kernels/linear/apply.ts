/**
 * Linear operations on the colour of a picture, in place; alpha stays. Single precision throughout.
 *
 *   matrix  c′ = M·c      gain  c′ = g·c per channel      veil  c′ = g·c + o·α per channel
 */
import type { FloatImage, Rgb } from '../../core/index.js'
import { at } from '../wasm/images.js'
import { duringScratch, memory, takeBytes, words } from '../wasm/memory.js'
import { simd } from '../wasm/module.js'

/** `m9`: nine numbers, row by row. */
export function applyMatrix({ data }: FloatImage, m9: readonly number[]): void {
  duringScratch(() => {
    const columns = takeBytes(48)
    const [a, b, c, d, e, f, g, h, k] = m9 as number[]
    new Float32Array(memory.buffer, columns, 12).set([a, d, g, 0, b, e, h, 0, c, f, k, 0])
    at(data, true, (address) => simd.matrix(address, data.length >> 2, columns))
  })
}

/** Multiplies R, G and B by their own factors. */
export function applyGain({ data }: FloatImage, [r, g, b]: Rgb): void {
  at(data, true, (address) => simd.gain(address, data.length >> 2, r, g, b))
}

/** Multiplies colour and alpha. */
export function applyScale({ data }: FloatImage, by: number): void {
  at(data, true, (address) => simd.scale(address, data.length >> 2, by))
}

/** Multiplies R, G and B by their own factors, and adds an offset of its own as far as the pixel covers. */
export function applyVeil({ data }: FloatImage, gain: Rgb, offset: Rgb): void {
  duringScratch(() => {
    const scale = words(Float32Array.of(...gain, 0))
    const added = words(Float32Array.of(...offset, 0))
    at(data, true, (address) => simd.veil(address, data.length >> 2, scale, added))
  })
}
