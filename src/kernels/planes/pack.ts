import type { FloatImage, PixelLayout, Region } from '../../core/index.js'
import type { Coding } from './coding.js'

/** Unrounded samples of one plane over `region`, in the plane's own sample coordinates. */
export interface FloatPlane {
  readonly region: Region
  readonly data: Float32Array
}

export interface FloatPlanes {
  readonly layout: PixelLayout
  /** Y, Cb, Cr (, A) or R, G, B (, A). */
  readonly planes: readonly FloatPlane[]
}

export function packFloat(
  _image: FloatImage,
  _layout: PixelLayout,
  _coding: Coding,
  _frameWidth: number,
  _frameHeight: number,
): FloatPlanes {
  throw new Error('being written')
}
