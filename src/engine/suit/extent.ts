/** How much of a picture an element fills: amount, height, and the luminance at which its light is on the average. */

import type { FloorMeasure } from '../../chain/source/floor/measure.js'
import type { FloatImage, Rgb } from '../../core/index.js'

/** Presence below this is nothing (a choice, as for the border). */
const LEAST = 0.02
/** A row counts from this share of present pixels on, so that stray ones do not. */
const ROW_SHARE = 0.004

export interface Extent {
  /** Sum over pixels of cover or light, whichever is more, light at most 1. */
  readonly amount: number
  /** Rows from the first to the last that shows it. */
  readonly height: number
  /** Σ Y² / Σ Y over what shows; undefined when nothing does. */
  readonly level: number | undefined
}

/** @param floor of a file on black: taken off before anything counts, with three times its noise */
export function extentOf(image: FloatImage, luminance: Rgb, floor: FloorMeasure | undefined): Extent {
  const { width, height } = image.region
  const d = image.data
  const off = floor?.floor ?? [0, 0, 0]
  const least = Math.max(LEAST, floor === undefined ? 0 : 3 * Math.max(...floor.noise))
  let [amount, light, squares, top, bottom] = [0, 0, 0, height, -1]
  for (let y = 0; y < height; y++) {
    let present = 0
    for (let x = 0, i = 4 * y * width; x < width; x++, i += 4) {
      const r = (d[i] as number) - (off[0] as number)
      const g = (d[i + 1] as number) - (off[1] as number)
      const b = (d[i + 2] as number) - (off[2] as number)
      const p = Math.max(d[i + 3] as number, Math.min(Math.max(r, g, b), 1))
      if (!(p > least)) continue
      present++
      amount += p
      const lum = Math.max(luminance[0] * r + luminance[1] * g + luminance[2] * b, 0)
      light += lum
      squares += lum * lum
    }
    if (present < Math.max(1, ROW_SHARE * width)) continue
    top = Math.min(top, y)
    bottom = y
  }
  return {
    amount,
    height: bottom < top ? 0 : bottom - top + 1,
    level: light > 0 ? squares / light : undefined,
  }
}
