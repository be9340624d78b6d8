/**
 * Vignette off a flat frame: an evenly lit, featureless surface that fills the picture, filmed at the plate's lens, aperture and zoom.
 *
 *   L(x, y) = s · (1 + a·x + b·y) · f(r)  =  s + s·k1·r² + s·k2·r⁴ + s·k3·r⁶ + (s·a·x + s·b·y) · f(r)     the last f as found so far
 *
 *   L  mean linear brightness of a cell    s  light in the middle    a, b  slope of the surface's own light, which no lens makes
 *
 * Least squares over 24 × 16 cells, those that leave the rest (a mark, a shadow) left out by Tukey's biweight. A slope above a quarter
 * across the picture, or cells that stay 3 % off the model, are no even surface. The spread is that of the light at the corner over
 * solutions with each eighth of the picture left out. Only a flat frame tells it: a scene's corners may be dark by themselves.
 *
 * Source: [lensfun-db] for the model, [huber2009] for the fit, [efron1982] for leaving out.
 */
import { brightness } from '../../../colour/index.js'
import { type FloatImage, median, type Reading } from '../../../core/index.js'
import { type Cell, robustFit, SECTORS, spreadOf, termsOf } from './fit.js'
import { cornerSquared, type Vignette } from './model.js'

const COLUMNS = 24
const ROWS = 16
const UNEVEN = 0.03
const STEEPEST = 0.25
/** Of the file's end: codes bend there. */
const NEAR_CLIP = 0.97
const DARKEST = 0.002
const LEAST_SIDE = 96
/** Points across a cell over which its terms are averaged. */
const POINTS = 4

export interface FlatFrame {
  readonly frame: number
  /** Linear light. */
  readonly image: FloatImage
}

/** @param clip linear value at which the file's code ends */
export function measureVignette(frames: readonly FlatFrame[], clip: number): Reading<Vignette> {
  const [first] = frames
  if (first === undefined) return { cannotTell: 'the flat frame could not be read' }
  const { width, height } = first.image.region
  if (Math.min(width, height) < LEAST_SIDE)
    return { cannotTell: `the flat frame is ${width}×${height} px; ${LEAST_SIDE} are needed` }
  const cells = cellsOf(frames.map((f) => f.image))
  const middle = median(cells.map((c) => c.light))
  if (!(middle > DARKEST)) return { cannotTell: 'the flat frame is black' }
  if (cells.some((c) => c.light > NEAR_CLIP * clip))
    return { cannotTell: 'the flat frame is clipped in places' }
  const fit = robustFit(cells)
  if (fit === undefined) return { cannotTell: 'the flat frame tells no fall-off' }
  const { solution, scatter } = fit
  const [s, ax, by] = solution as [number, number, number]
  const slope = (2 * Math.hypot(ax, by)) / s
  if (slope > STEEPEST)
    return {
      cannotTell: `the flat frame's own light rises by ${(100 * slope).toFixed(0)} % across it: it is lit from a side`,
    }
  if (scatter > UNEVEN * s)
    return {
      cannotTell: `the flat frame is ${((100 * scatter) / s).toFixed(0)} % off any fall-off of a lens: its surface is not even`,
    }
  const value = termsOf(solution)
  return {
    value,
    evidence: {
      kind: 'measured',
      frames: frames.map((f) => f.frame),
      method: `fall-off over ${cells.length} cells of a flat frame; spread of the light at the corner`,
      spread: spreadOf(cells, fit),
      confidence: 0.9,
    },
  }
}

/** Mean brightness of the cells over all frames. */
function cellsOf(images: readonly FloatImage[]): Cell[] {
  const [first] = images as [FloatImage]
  const { width, height } = first.region
  const corner = cornerSquared(first.region)
  const cells: Cell[] = []
  for (let row = 0; row < ROWS; row++) {
    for (let column = 0; column < COLUMNS; column++) {
      const [x0, x1] = [column, column + 1].map((k) => Math.floor((k * width) / COLUMNS)) as [number, number]
      const [y0, y1] = [row, row + 1].map((k) => Math.floor((k * height) / ROWS)) as [number, number]
      const light = images.reduce((sum, i) => sum + meanOf(i, x0, y0, x1, y1), 0) / images.length
      const [x, y] = [(x0 + x1 - width) / width, (y0 + y1 - height) / height]
      const sector = Math.floor(((Math.atan2(y, x) / Math.PI + 1) / 2) * SECTORS) % SECTORS
      const powers = [0, 0, 0]
      for (let k = 0; k < POINTS * POINTS; k++) {
        const dx = x0 + (((k % POINTS) + 0.5) * (x1 - x0)) / POINTS - width / 2
        const dy = y0 + ((Math.floor(k / POINTS) + 0.5) * (y1 - y0)) / POINTS - height / 2
        const rr = (dx * dx + dy * dy) / corner
        for (const n of [0, 1, 2]) powers[n] = (powers[n] as number) + rr ** (n + 1) / POINTS ** 2
      }
      cells.push({ x, y, powers, light, sector })
    }
  }
  return cells
}

function meanOf({ region, data }: FloatImage, x0: number, y0: number, x1: number, y1: number): number {
  let sum = 0
  for (let y = y0; y < y1; y++) {
    for (let i = 4 * (y * region.width + x0); i < 4 * (y * region.width + x1); i += 4) {
      sum += brightness(data[i] as number, data[i + 1] as number, data[i + 2] as number)
    }
  }
  return sum / ((x1 - x0) * (y1 - y0))
}
