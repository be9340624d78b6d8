import type { FloatImage, Rgb } from '../../core/index.js'

/** One block of a picture; the noise is what remains after a fitted plane is taken off. */
export interface BlockStats {
  /** Frame coordinates of its top left pixel. */
  readonly x: number
  readonly y: number
  readonly mean: Rgb
  readonly variance: Rgb
  /** Correlation with the pixel to the right and with the one below. */
  readonly lagX: Rgb
  readonly lagY: Rgb
}

export function blockStats(_image: FloatImage, _size: number): BlockStats[] {
  throw new Error('being written')
}
