/**
 * Black, middle and white of a place: 10, 50 and 75 % of the means of 4×4 pixels, per channel, in linear light. The means keep
 * the noise out of the ends. Up to a quarter of a place may be brighter than its matter (a gap of sky, a rim that the sun
 * lights): in linear light such strays lie far out, dark ones do not. Source: common practice (robust percentiles).
 */
import { type FloatImage, intersect, quantile, type Region, type Rgb } from '../../../core/index.js'
import type { Points } from './model.js'

const CELL = 4
/** Shares of the cells at black, middle and white. The fit's white is a quartile, the check looks further out. */
export type Ends = readonly [number, number, number]
export const FIT_ENDS: Ends = [0.1, 0.5, 0.75]
export const CHECK_ENDS: Ends = [0.1, 0.5, 0.9]

/** Which cells of a chequerboard count: the fit looks at one half, the check at the other. */
export type Half = 'even' | 'odd' | 'both'

/** Colours of 4×4 cells, straight: R, G, B one after another. */
export type Cells = [number[], number[], number[]]

/** Cells of an opaque picture inside `region`. */
export function plateCells(image: FloatImage, region: Region, half: Half): Cells {
  return cells(image, region, half, 0)
}

/** Cells of a premultiplied picture whose mean alpha is at least `least`. */
export function coveredCells(image: FloatImage, least: number, half: Half = 'both'): Cells {
  return cells(image, image.region, half, least)
}

/** Alpha above which a cell of this element counts as covered: half, or less for thin smoke. */
export function coverThreshold(images: readonly FloatImage[]): number {
  const alphas: number[] = []
  for (const image of images)
    for (let i = 3; i < image.data.length; i += 64)
      if ((image.data[i] as number) > 0.02) alphas.push(image.data[i] as number)
  alphas.sort((a, b) => a - b)
  return Math.min(0.5, 0.6 * quantile(alphas, 0.95))
}

/** The three points, or nothing when fewer than 25 cells are there. */
export function pointsOf(all: readonly Cells[], ends = FIT_ENDS): Points | undefined {
  const channel = (c: 0 | 1 | 2) => Float64Array.from(all.flatMap((x) => x[c])).sort()
  const sorted = [channel(0), channel(1), channel(2)] as const
  if (sorted[0].length < 25) return undefined
  const at = (q: number): Rgb => [quantile(sorted[0], q), quantile(sorted[1], q), quantile(sorted[2], q)]
  return { black: at(ends[0]), middle: at(ends[1]), white: at(ends[2]) }
}

/**
 * The same points as greys of their luminance: for an element whose own colour is its own (blood is red in any light). It is
 * taken as balanced for its own light, so that the plate's points bring the plate's illuminant and nothing else.
 */
export function asGreys(points: Points, luminance: Rgb): Points {
  const grey = (v: Rgb): Rgb => {
    const y = luminance[0] * v[0] + luminance[1] * v[1] + luminance[2] * v[2]
    return [y, y, y]
  }
  return { black: grey(points.black), middle: grey(points.middle), white: grey(points.white) }
}

function cells(image: FloatImage, within: Region, half: Half, leastAlpha: number): Cells {
  const r = intersect(image.region, within)
  const out: Cells = [[], [], []]
  const n = CELL * CELL
  for (let y = 0; y + CELL <= r.height; y += CELL) {
    for (let x = 0; x + CELL <= r.width; x += CELL) {
      if (half !== 'both' && ((x + y) / CELL) % 2 !== (half === 'even' ? 0 : 1)) continue
      const sum = cellSum(image, r.x + x, r.y + y)
      const alpha = leastAlpha > 0 ? sum[3] / n : 1
      if (alpha < leastAlpha || !sum.every(Number.isFinite)) continue
      for (const c of [0, 1, 2] as const) out[c].push(sum[c] / n / alpha)
    }
  }
  return out
}

function cellSum(image: FloatImage, x0: number, y0: number): [number, number, number, number] {
  const { region, data } = image
  const sum: [number, number, number, number] = [0, 0, 0, 0]
  for (let y = y0; y < y0 + CELL; y++) {
    let i = 4 * ((y - region.y) * region.width + x0 - region.x)
    for (let x = 0; x < CELL; x++, i += 4) {
      sum[0] += data[i] as number
      sum[1] += data[i + 1] as number
      sum[2] += data[i + 2] as number
      sum[3] += data[i + 3] as number
    }
  }
  return sum
}
