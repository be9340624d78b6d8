/** The plate's own lightness, as it is compared from frame to frame. */
import type { NativeFrame, Samples } from '../../core/index.js'
import type { Grey } from '../../vision/index.js'

/** Code values of a frame's lightness, row by row, in the file's own depth. */
export interface Luma {
  readonly width: number
  readonly height: number
  readonly data: Samples
  /** Code values to one of 256 steps. */
  readonly step: number
}

/** Linear light of float files is bent as a camera would, or the shadows would hold no detail: 1 comes to 255. */
const bent = (v: number) => (v > 0 ? 255 * Math.sqrt(Math.min(v, 64)) : 0)

/** Y′ as it lies in the file; of R′G′B′ a quarter, a half and a quarter. */
export function lumaOf({ layout, width, height, planes }: NativeFrame): Luma {
  const [first, green, blue] = planes.map((p) => p.data) as [Samples, Samples, Samples]
  const step = layout.float ? 1 : 2 ** (layout.bits - 8)
  if (layout.family === 'yuv')
    return { width, height, step, data: layout.float ? Float32Array.from(first, bent) : first }
  const data = layout.float ? new Float32Array(first.length) : new Uint16Array(first.length)
  for (let i = 0; i < data.length; i++) {
    const [r, g, b] = [first[i] as number, green[i] as number, blue[i] as number]
    data[i] = layout.float ? bent((r + 2 * g + b) / 4) : (r + 2 * g + b) >> 2
  }
  return { width, height, step, data }
}

/** Longer side of the small picture in which ways are found roughly, px. */
const SMALL = 640
/** Half the side of the square whose contrast is levelled, small px. */
const LEVELLED = 12
/** Contrast that noise alone can have, in 256 steps: it is not raised further. */
const FLOOR = 4
/** What contrast is brought to. */
const CONTRAST = 40

/** The power of two by which a picture is divided, so that its longer side has no more than `side` px. */
export function smallFactor(width: number, height: number, side = SMALL): number {
  let factor = 1
  while (Math.max(width, height) / factor > side) factor *= 2
  return factor
}

/** How a picture looks, whatever lies in it, by ninths: natural logarithms, so that differences are ratios. */
export interface Look {
  /** Mean of what a pixel is off its four neighbours, over the light: a change of exposure is none of it. */
  readonly sharp: readonly number[]
  /** Mean. */
  readonly light: readonly number[]
}

/** A small picture, its contrast levelled from place to place, so that a change of exposure is not seen in it. */
export function smallGrey(luma: Luma, factor: number): Grey {
  return levelledGrey(meant(luma, factor))
}

/** The small picture, and how it looked before it was levelled. */
export function smallLook(luma: Luma, factor: number): { readonly grey: Grey; readonly look: Look } {
  const small = meant(luma, factor)
  return { grey: levelledGrey(small), look: lookOf(small) }
}

/** Less light and less detail than this are noise, 256 steps. */
const LEAST_LIGHT = 1
const LEAST_DETAIL = 0.05

function lookOf({ width, height, data }: Meant): Look {
  const [sharp, light] = [new Array<number>(9), new Array<number>(9)]
  for (let ninth = 0; ninth < 9; ninth++) {
    const [row, column] = [Math.floor(ninth / 3), ninth % 3]
    const [top, bottom] = [1, 2].map((k) => Math.floor(((row + k - 1) * (height - 2)) / 3) + 1) as [
      number,
      number,
    ]
    const [left, right] = [1, 2].map((k) => Math.floor(((column + k - 1) * (width - 2)) / 3) + 1) as [
      number,
      number,
    ]
    let [sum, detail] = [0, 0]
    for (let y = top; y < bottom; y++) {
      for (let i = y * width + left; i < y * width + right; i++) {
        const v = data[i] as number
        sum += v
        const [before, after] = [data[i - 1] as number, data[i + 1] as number]
        detail += Math.abs(4 * v - before - after - (data[i - width] as number) - (data[i + width] as number))
      }
    }
    const count = (bottom - top) * (right - left)
    light[ninth] = Math.log(Math.max(sum / count, LEAST_LIGHT))
    sharp[ninth] = Math.log(Math.max(detail / count, LEAST_DETAIL)) - (light[ninth] as number)
  }
  return { sharp, light }
}

export interface Meant {
  readonly width: number
  readonly height: number
  readonly data: Float32Array
}

function levelledGrey({ width, height, data }: Meant): Grey {
  const mean = boxed(data, width, height)
  const square = boxed(
    data.map((v) => v * v),
    width,
    height,
  )
  const out = new Uint8Array(data.length)
  for (let i = 0; i < out.length; i++) {
    const m = mean[i] as number
    const variance = Math.max(0, (square[i] as number) - m * m)
    const v = 128 + (CONTRAST * ((data[i] as number) - m)) / Math.sqrt(variance + FLOOR * FLOOR)
    out[i] = Math.max(0, Math.min(255, Math.round(v)))
  }
  return { width, height, data: out }
}

/** What the mean is brought to, and the least it counts for, 256 steps: what is darker is noise. */
const MEAN = 128
const DARK = 8

/** The picture with its light levelled from place to place: of a surface that turns in the light its own pattern stays, in 256 steps. */
export function levelled({ width, height, data, step }: Luma): Luma {
  const own = Float32Array.from(data, (v) => v / step)
  const mean = boxed(own, width, height)
  for (let i = 0; i < own.length; i++)
    own[i] = Math.min(255, (MEAN * (own[i] as number)) / Math.max(mean[i] as number, DARK))
  return { width, height, data: own, step: 1 }
}

/** Means over squares, in 256 steps; what is left over at the right and below is left out. */
export function meant({ width, height, data, step }: Luma, factor: number): Meant {
  const [w, h] = [Math.floor(width / factor), Math.floor(height / factor)]
  const out = new Float32Array(w * h)
  const scale = 1 / (factor * factor * step)
  for (let y = 0; y < h * factor; y++) {
    const row = Math.floor(y / factor) * w
    let at = y * width
    for (let x = 0; x < w; x++) {
      let sum = 0
      for (let k = 0; k < factor; k++) sum += data[at++] as number
      out[row + x] = (out[row + x] as number) + sum * scale
    }
  }
  return { width: w, height: h, data: out }
}

/** Means over squares of 2 · LEVELLED + 1, by running sums; at the borders over the part that is there. */
function boxed(data: Float32Array, width: number, height: number): Float32Array {
  const across = new Float32Array(data.length)
  run(data, across, height, width, width, 1)
  const out = new Float32Array(data.length)
  run(across, out, width, height, 1, width)
  return out
}

function run(from: Float32Array, to: Float32Array, lines: number, length: number, line: number, one: number) {
  for (let l = 0; l < lines; l++) {
    const at = l * line
    let [sum, count] = [0, 0]
    for (let i = -LEVELLED; i < length; i++) {
      const [enters, leaves] = [i + LEVELLED, i - LEVELLED - 1]
      if (enters < length) {
        sum += from[at + enters * one] as number
        count++
      }
      if (leaves >= 0) {
        sum -= from[at + leaves * one] as number
        count--
      }
      if (i >= 0) to[at + i * one] = sum / count
    }
  }
}

/** The whole picture in 8 bits, as it is. */
export function wholeGrey({ width, height, data, step }: Luma): Grey {
  if (data instanceof Uint8Array) return { width, height, data }
  const out = new Uint8Array(data.length)
  for (let i = 0; i < out.length; i++) out[i] = Math.min(255, Math.round((data[i] as number) / step))
  return { width, height, data: out }
}
