import type { FloatImage, Rgb } from '../../core/index.js'

export function applyMatrix(_image: FloatImage, _m9: readonly number[]): void {
  throw new Error('being written')
}

export function applyGain(_image: FloatImage, _gain: Rgb): void {
  throw new Error('being written')
}
