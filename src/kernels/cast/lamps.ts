import type { FloatImage, Region, Rgb } from '../../core/index.js'

/** What is lit; one value a pixel of the region, but four of `variance` (R, G, B and one unused). */
export interface Lit {
  readonly light: FloatImage
  readonly variance: Float32Array
  readonly touched: Uint8Array
}

/** How much of the surface each pixel of a region shows, 0 to 1. */
export interface Shares {
  readonly region: Region
  readonly share: Float32Array
}

/** Three equal lamps, one above the other, before a surface. */
export interface Lamps {
  /** Relative rise of light where a lamp is 1 m away. */
  readonly peak: Rgb
  /** Point of the picture that is nearest to the lamps' middle. */
  readonly nearest: readonly [number, number]
  /** Metres a pixel along the surface, across and down. */
  readonly across: number
  readonly down: number
  /** Metres from the surface. */
  readonly awayM: number
  /** Pixels from the middle lamp to the others. */
  readonly spread: number
}

/** Numbers of one row: nearest x, metres across, distance², a third of the distance, and the lamps' distances² down. */
export function lampRow({ nearest, across, down, awayM, spread }: Lamps, y: number): Float32Array {
  const squared = (lamp: number) => {
    const d = (y + 0.5 - nearest[1] - lamp) * down
    return d * d
  }
  return Float32Array.of(
    nearest[0],
    across,
    awayM * awayM,
    awayM / 3,
    squared(-spread),
    squared(0),
    squared(spread),
  )
}
