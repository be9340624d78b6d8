import type { FloatImage, NativeFrame, Region } from '../../core/index.js'
import type { Coding } from './coding.js'

export function unpack(_frame: NativeFrame, _coding: Coding, _region: Region): FloatImage {
  throw new Error('being written')
}
