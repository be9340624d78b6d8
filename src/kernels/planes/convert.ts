import type { NativeFrame, PixelLayout } from '../../core/index.js'
import type { Coding } from './coding.js'

export function convertFrame(
  _frame: NativeFrame,
  _from: Coding,
  _layout: PixelLayout,
  _to: Coding,
): NativeFrame {
  throw new Error('being written')
}
