/** Small parts of a picture, drawn anew under an affine motion. */
import type { Place } from '../../vision/index.js'
import type { Luma } from './luma.js'

/** How a small neighbourhood turns, grows and shears, row by row: the middle of a motion. */
export type Turn = readonly [number, number, number, number]

export const STILL: Turn = [1, 0, 0, 1]

export function inverse([a, b, c, d]: Turn): Turn {
  const det = a * d - b * c
  return [d / det, -b / det, -c / det, a / det]
}

/** First p, then q. */
export function after([a, b, c, d]: Turn, [e, f, g, h]: Turn): Turn {
  return [a * e + b * g, a * f + b * h, c * e + d * g, c * f + d * h]
}

export function turned([a, b, c, d]: Turn, x: number, y: number): Place {
  return [a * x + b * y, c * x + d * y]
}

/** A square cut out, in 256 steps, and where its first edge lies. */
export interface Cut {
  readonly x: number
  readonly y: number
  readonly size: number
  readonly data: Float32Array
}

/** The square of whole pixels around a place; beyond the picture its border is repeated. */
export function cut(luma: Luma, [px, py]: Place, size: number): Cut {
  const [x, y] = [Math.round(px - size / 2), Math.round(py - size / 2)]
  const data = new Float32Array(size * size)
  for (let j = 0; j < size; j++) {
    const row = Math.min(luma.height - 1, Math.max(0, y + j)) * luma.width
    for (let i = 0; i < size; i++) {
      const at = Math.min(luma.width - 1, Math.max(0, x + i))
      data[j * size + i] = (luma.data[row + at] as number) / luma.step
    }
  }
  return { x, y, size, data }
}

/** Cubic convolution, a = −½: weights of four taps at the part `t` past the second. Source: [keys1981]. */
function taps(t: number, w: Float64Array): void {
  w[0] = ((-0.5 * t + 1) * t - 0.5) * t
  w[1] = (1.5 * t - 2.5) * t * t + 1
  w[2] = ((-1.5 * t + 2) * t + 0.5) * t
  w[3] = (0.5 * t - 0.5) * t * t
}

const wx = new Float64Array(4)
const wy = new Float64Array(4)

/**
 * The cut drawn anew on a square of `size` pixels.
 *
 * @param at what of the cut's picture lies at the middle of the new square
 * @param turn from steps of the new picture to steps of the old one
 */
export function drawn(from: Cut, [x0, y0]: Place, turn: Turn, size: number): Float32Array {
  const out = new Float32Array(size * size)
  const { size: n, data } = from
  const [a, b, c, d] = turn
  const half = (size - 1) / 2
  for (let j = 0; j < size; j++) {
    for (let i = 0; i < size; i++) {
      const [u, v] = [i - half, j - half]
      const x = Math.min(n - 3.001, Math.max(1, x0 + a * u + b * v - from.x - 0.5))
      const y = Math.min(n - 3.001, Math.max(1, y0 + c * u + d * v - from.y - 0.5))
      const [ix, iy] = [Math.floor(x), Math.floor(y)]
      taps(x - ix, wx)
      taps(y - iy, wy)
      let sum = 0
      for (let l = 0; l < 4; l++) {
        const at = (iy + l - 1) * n + ix - 1
        sum +=
          (wy[l] as number) *
          ((wx[0] as number) * (data[at] as number) +
            (wx[1] as number) * (data[at + 1] as number) +
            (wx[2] as number) * (data[at + 2] as number) +
            (wx[3] as number) * (data[at + 3] as number))
      }
      out[j * size + i] = sum
    }
  }
  return out
}

/** Share of white noise's variance that a part-pixel shift by cubic convolution leaves, along both sides. */
export function noiseLeft([x, y]: Place): number {
  return left(x) * left(y)
}

function left(x: number): number {
  const t = x - 0.5 - Math.floor(x - 0.5)
  taps(t, wx)
  return wx.reduce((sum, w) => sum + w * w, 0)
}
