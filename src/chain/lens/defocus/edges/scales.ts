/**
 * An edge is looked at where it is two to four pixels soft: at full size, or on the picture halved once or more.
 *
 *   σ₀² = (1 + 1/m² + B²) / 12     in pixels of the picture m times smaller
 *
 * What blurs besides the lens: the smaller pixel, the weights of the blur (one of the plate's pixels) and the profile's bins, B wide.
 */
import { BIN, type Window } from '../../../../kernels/index.js'
import type { Shape } from '../transfer.js'
import { type EdgeSpread, edgeSpread } from './spread.js'

export interface Scale {
  /** Plate pixels a pixel of its picture. */
  readonly times: number
  /** How far an edge is looked at to either side, in its own pixels. */
  readonly across: number
  /** Radii that it tells, plate px. */
  readonly low: number
  readonly high: number
}

/** px; what is sharper is not told from a step on a slope. */
export const SHARPEST = 0.3

/** Neighbouring scales tell a little in common, so that no radius falls between them. */
export const SCALES: readonly Scale[] = [
  { times: 1, across: 4, low: SHARPEST, high: 1.6 },
  { times: 1, across: 8, low: 1.5, high: 3.8 },
  { times: 2, across: 8, low: 3.6, high: 7.6 },
  { times: 4, across: 8, low: 7.2, high: 15.2 },
  { times: 8, across: 8, low: 14.4, high: 30.4 },
]

/** Sizes of a family, each by this factor. */
const RATIO = 1.09
/** Sizes go on beyond those told, so that what lies there is seen to. */
const BEYOND = 1.25
const families = new Map<string, readonly EdgeSpread[]>()

/** Edge spreads of a scale in its own pixels; of a Gaussian those of the same variance, σ = r / 2, under the disc's sizes. */
export function familyOf(scale: Scale, shape: Shape): readonly EdgeSpread[] {
  const { times, across, low, high } = scale
  const key = `${shape} ${times} ${across}`
  const known = families.get(key)
  if (known !== undefined) return known
  const own = Math.sqrt((1 + 1 / times ** 2 + BIN ** 2) / 12)
  const made: EdgeSpread[] = []
  for (let r = low / BEYOND / times; r <= (high * BEYOND) / times; r *= RATIO) {
    const size = shape === 'disc' ? r : r / 2
    made.push({ ...edgeSpread(shape, size, own, across + 2), size: r })
  }
  families.set(key, made)
  return made
}

/** Means of squares of four pixels. */
export function halved({ width, height, values }: Window): Window {
  const [w, h] = [width >> 1, height >> 1]
  const out = new Float64Array(w * h)
  for (let y = 0; y < h; y++)
    for (let x = 0; x < w; x++) {
      const p = 2 * y * width + 2 * x
      out[y * w + x] = (values[p]! + values[p + 1]! + values[p + width]! + values[p + width + 1]!) / 4
    }
  return { width: w, height: h, values: out }
}
