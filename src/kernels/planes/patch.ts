import type { FloatImage, NativeFrame } from '../../core/index.js'
import type { Coding } from './coding.js'

export function patch(
  _base: NativeFrame,
  _before: FloatImage,
  _after: FloatImage,
  _keep: Float32Array,
  _touched: Uint8Array,
  _coding: Coding,
): void {
  throw new Error('being written')
}
