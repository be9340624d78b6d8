/**
 * Native samples to a float picture of code values: R′, G′, B′ with nominal black 0 and white 1, and alpha.
 *
 *   R′ = Y + 2(1 − Kr)·Cr,  B′ = Y + 2(1 − Kb)·Cb,  G′ = Y − (Kr·2(1 − Kr)·Cr + Kb·2(1 − Kb)·Cb) / Kg
 *
 * Nothing is clipped: super-whites and sub-blacks come out beyond 0…1. Chroma goes to the luma sites by linear
 * interpolation from where the siting says it sits (`taps.ts`). A pixel depends on the frame alone, so any region
 * equals the same part of the whole, bit for bit. Float R, G, B pass untouched.
 * Arithmetic is in single precision.
 *
 * Source: [bt601], [bt709], [bt2020] (non-constant luminance).
 * @throws Problem `kernels.region-outside`, `kernels.no-matrix`
 */
import type { FloatImage, NativeFrame, Region } from '../../core/index.js'
import { at, rawImage } from '../wasm/images.js'
import { duringScratch, takeBytes, words } from '../wasm/memory.js'
import { simd } from '../wasm/module.js'
import { type Carried, carried, type SampleType } from './carry.js'
import { codeScale } from './codes.js'
import { type Coding, checkInside, weightsOf } from './coding.js'
import { type Axis, chromaAxes, LUMA, tapsBetween } from './taps.js'

export function unpack(frame: NativeFrame, coding: Coding, region: Region): FloatImage {
  checkInside(region, frame.width, frame.height)
  const image = rawImage(region)
  at(image.data, true, (out) => {
    duringScratch(() => unpackRows(frame, coding, region.x, region.width)(region.y, region.height, out))
  })
  return image
}

/** Rows `y` to `y + rows − 1` of the frame as a picture at `out`, with room for fours. */
export type UnpackRows = (y: number, rows: number, out: number) => void

/** Columns `x` to `x + width − 1` of the frame, some rows at a time; not beyond the scratch that this is called in. */
export function unpackRows(frame: NativeFrame, coding: Coding, x: number, width: number): UnpackRows {
  const { family, alpha } = frame.layout
  const colour = (family === 'rgb' ? rgbRows : yuvRows)(frame, coding, x, width)
  const through = alpha ? alphaRows(frame, coding, x, width) : undefined
  return (y, rows, out) =>
    duringScratch(() => {
      const makers = [colour(y, rows), ...(through === undefined ? [] : [through(y, rows)])]
      // A row's alpha goes in while its colour is near the processor.
      for (let j = 0; j < rows; j++) for (const make of makers) make(j, out + 16 * width * j)
    })
}

/** Carries rows `y` to `y + rows − 1` over; the function that it gives lays row `j` of them at `to`. */
type RowsOf = (y: number, rows: number) => (j: number, to: number) => void

function alphaRows(frame: NativeFrame, coding: Coding, x: number, width: number): RowsOf {
  const { offset, scale } = codeScale(frame.layout, coding.range, 3)
  return (y, rows) => {
    const { start, line, type } = carried(frame.planes[3], y, rows)
    return (j, to) => simd.planeRow(start + line * j + (x << type), type, width, offset, scale, to + 12)
  }
}

function rgbRows(frame: NativeFrame, coding: Coding, x: number, width: number): RowsOf {
  const { offset, scale } = codeScale(frame.layout, coding.range, 0)
  return (y, rows) => {
    const [r, g, b] = [0, 1, 2].map((p) => carried(frame.planes[p], y, rows)) as [Carried, Carried, Carried]
    return (j, to) => {
      const at = r.line * j + (x << r.type)
      simd.rgbRow(r.start + at, g.start + at, b.start + at, r.type, width, offset, scale, to)
    }
  }
}

function yuvRows(frame: NativeFrame, coding: Coding, x: number, width: number): RowsOf {
  const chroma = frame.planes[1]
  const axes = chromaAxes(frame.layout, coding.siting)
  const across = acrossRow(axes.x, x, width, chroma.width)
  const wide = 4 * (width + 8)
  const cbRow = takeBytes(wide)
  const crRow = takeBytes(wide)
  const k = constants(frame, coding)
  return (y, rows) => {
    const down = tapsBetween(axes.y, LUMA, y, rows, 0, chroma.height)
    const top = down.index[0]
    const chromaRows = down.index[2 * rows - 1] - top + 1
    const luma = carried(frame.planes[0], y, rows)
    const cb = carried(chroma, top, chromaRows)
    const cr = carried(frame.planes[2], top, chromaRows)
    return (j, out) => {
      const from = (down.index[2 * j] - top) * cb.line
      const to = (down.index[2 * j + 1] - top) * cb.line
      const w = down.weight[2 * j + 1]
      across(cb.start + from, cb.start + to, cb.type, w, cbRow)
      across(cr.start + from, cr.start + to, cr.type, w, crRow)
      const line = luma.start + luma.line * j + (x << luma.type)
      simd.yuvRow(line, luma.type, cbRow, crRow, width, k, out)
    }
  }
}

/** Addresses of two chroma rows to one row of chroma at luma sites. */
type Across = (row0: number, row1: number, type: SampleType, w: number, out: number) => void

function acrossRow(axis: Axis, x: number, width: number, chromaWidth: number): Across {
  const taps = (from: number, count: number) => tapsBetween(axis, LUMA, from, count, 0, chromaWidth)
  const first = taps(x, 1).index[0]
  const used = taps(x + width - 1, 1).index[1] - first + 1
  // A sample before and some behind repeat the ends: the frame's edges mirror.
  const line = takeBytes(4 * (used + 8))
  const row = line + 16
  const mix = (row0: number, row1: number, type: SampleType, w: number) =>
    simd.mixRows(row0 + (first << type), row1 + (first << type), type, w, used, row)
  if (axis.step === 1) {
    return (row0, row1, type, w, out) =>
      simd.mixRows(row0 + (first << type), row1 + (first << type), type, w, used, out)
  }
  if (axis.step === 2 && x % 2 === 0) {
    const even = -axis.shift / 2
    const back = -Math.floor(even)
    const own = x / 2 - first
    return (row0, row1, type, w, out) => {
      mix(row0, row1, type, w)
      simd.repeatEnds(row, used)
      simd.betweenTwo(row + 4 * own, back, even + back, (1 - axis.shift) / 2, (width + 1) >> 1, out)
    }
  }
  const all = taps(x, width)
  const index = words(Int32Array.from(all.index, (i) => i - first))
  const weight = words(Float32Array.from(all.weight))
  return (row0, row1, type, w, out) => {
    mix(row0, row1, type, w)
    simd.between(row, index, weight, width, out)
  }
}

/** Luma offset and scale, chroma offset, red of Cr, green of Cb, green of Cr, blue of Cb. */
function constants(frame: NativeFrame, coding: Coding): number {
  const { kr, kb } = weightsOf(coding)
  const kg = 1 - kr - kb
  const luma = codeScale(frame.layout, coding.range, 0)
  const chroma = codeScale(frame.layout, coding.range, 1)
  const red = 2 * (1 - kr)
  const blue = 2 * (1 - kb)
  const of = [red, (-kb * blue) / kg, (-kr * red) / kg, blue].map((v) => v / chroma.scale)
  return words(Float32Array.of(luma.offset, luma.scale, chroma.offset, ...of))
}
