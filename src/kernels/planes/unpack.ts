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
import { carried, type SampleType } from './carry.js'
import { codeScale } from './codes.js'
import { type Coding, checkInside, weightsOf } from './coding.js'
import { type Axis, chromaAxes, LUMA, tapsBetween } from './taps.js'

export function unpack(frame: NativeFrame, coding: Coding, region: Region): FloatImage {
  checkInside(region, frame.width, frame.height)
  const image = rawImage(region)
  at(image.data, true, (out) => {
    duringScratch(() => {
      const { family, alpha } = frame.layout
      if (family === 'rgb') for (let p = 0; p < 3; p++) unpackPlane(frame, coding, region, p, out)
      else unpackYuv(frame, coding, region, out)
      if (alpha) unpackPlane(frame, coding, region, 3, out)
      else if (family === 'rgb') simd.opaque(out, region.width * region.height)
    })
  })
  return image
}

/** A full-size plane into its channel of the picture at `out`. */
function unpackPlane(frame: NativeFrame, coding: Coding, region: Region, channel: number, out: number): void {
  const { x, y, width, height } = region
  const rows = carried(frame.planes[channel], y, height)
  const { offset, scale } = codeScale(frame.layout, coding.range, channel)
  for (let j = 0; j < height; j++) {
    const to = out + 4 * (4 * j * width + channel)
    simd.planeRow(rows.start + rows.line * j + (x << rows.type), rows.type, width, offset, scale, to)
  }
}

function unpackYuv(frame: NativeFrame, coding: Coding, { x, y, width, height }: Region, out: number): void {
  const chromaPlane = frame.planes[1]
  const axes = chromaAxes(frame.layout, coding.siting)
  const down = tapsBetween(axes.y, LUMA, y, height, 0, chromaPlane.height)
  const top = down.index[0]
  const chromaRows = down.index[2 * height - 1] - top + 1
  const luma = carried(frame.planes[0], y, height)
  const cb = carried(chromaPlane, top, chromaRows)
  const cr = carried(frame.planes[2], top, chromaRows)
  const across = acrossRow(axes.x, x, width, chromaPlane.width)
  const wide = 4 * (width + 8)
  const cbRow = takeBytes(wide)
  const crRow = takeBytes(wide)
  const k = constants(frame, coding)
  for (let j = 0; j < height; j++) {
    const from = (down.index[2 * j] - top) * cb.line
    const to = (down.index[2 * j + 1] - top) * cb.line
    const w = down.weight[2 * j + 1]
    across(cb.start + from, cb.start + to, cb.type, w, cbRow)
    across(cr.start + from, cr.start + to, cr.type, w, crRow)
    const line = luma.start + luma.line * j + (x << luma.type)
    simd.yuvRow(line, luma.type, cbRow, crRow, width, k, out + 16 * width * j)
  }
}

/** Addresses of two chroma rows to one row of chroma at luma sites. */
type Across = (row0: number, row1: number, type: SampleType, w: number, out: number) => void

function acrossRow(axis: Axis, x: number, width: number, chromaWidth: number): Across {
  const taps = tapsBetween(axis, LUMA, x, width, 0, chromaWidth)
  const first = taps.index[0]
  const used = taps.index[2 * width - 1] - first + 1
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
  const index = words(Int32Array.from(taps.index, (i) => i - first))
  const weight = words(Float32Array.from(taps.weight))
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
