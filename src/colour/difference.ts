import type { PrimariesName, Rgb } from '../core/index.js'

export function deltaE2000(_a: Rgb, _b: Rgb, _primaries: PrimariesName): number {
  throw new Error('being written')
}

/** One value a pixel in raster order; with a mask (one byte a pixel) only the pixels where it is not 0. */
export function deltaE2000Image(
  _a: Float32Array,
  _b: Float32Array,
  _primaries: PrimariesName,
  _mask?: Uint8Array,
): Float64Array {
  throw new Error('being written')
}
