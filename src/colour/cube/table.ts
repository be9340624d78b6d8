import type { Rgb } from '../../core/index.js'

/** A look-up table of a `.cube` file. */
export interface CubeTable {
  /** 1: a curve a channel; 3: a lattice over R, G and B. */
  readonly dimensions: 1 | 3
  /** Entries along each axis, 2 or more. */
  readonly size: number
  /** Inputs that the first and the last entry stand for, a channel. */
  readonly domain: { readonly min: Rgb; readonly max: Rgb }
  readonly title?: string
  /** R, G, B of every entry; in a lattice red runs fastest, blue slowest. `3·size` or `3·size³` numbers. */
  readonly entries: Float32Array
}
