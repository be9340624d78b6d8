/**
 * Native samples to a float picture of code values: R′, G′, B′ with nominal black 0 and white 1, and alpha.
 *
 *   R′ = Y + 2(1 − Kr)·Cr,  B′ = Y + 2(1 − Kb)·Cb,  G′ = Y − (Kr·2(1 − Kr)·Cr + Kb·2(1 − Kb)·Cb) / Kg
 *
 * Nothing is clipped: super-whites and sub-blacks come out beyond 0…1. Chroma goes to the luma sites by linear
 * interpolation from where the siting says it sits (`taps.ts`). A pixel depends on the frame alone, so any region
 * equals the same part of the whole, bit for bit. Float R, G, B pass untouched.
 *
 * Source: [bt601], [bt709], [bt2020] (non-constant luminance).
 * @throws Problem `kernels.region-outside`, `kernels.no-matrix`
 */
import { emptyImage, type FloatImage, type NativeFrame, type Region, type Samples } from '../../core/index.js'
import { codeScale } from './codes.js'
import { type Coding, checkInside, weightsOf } from './coding.js'
import { chromaAxes, LUMA, tapsBetween } from './taps.js'

export function unpack(frame: NativeFrame, coding: Coding, region: Region): FloatImage {
  checkInside(region, frame.width, frame.height)
  const image = emptyImage(region)
  if (frame.layout.family === 'rgb') {
    for (let p = 0; p < 3; p++) unpackPlane(frame, coding, image, p)
  } else unpackYuv(frame, coding, image)
  if (frame.layout.alpha) unpackPlane(frame, coding, image, 3)
  else for (let i = 3; i < image.data.length; i += 4) image.data[i] = 1
  return image
}

/** A full-size plane into its channel of the picture. */
function unpackPlane(frame: NativeFrame, coding: Coding, image: FloatImage, channel: number): void {
  const { x, y, width, height } = image.region
  const { data } = frame.planes[channel]
  const { offset, scale } = codeScale(frame.layout, coding.range, channel)
  const row = new Float64Array(width)
  for (let j = 0; j < height; j++) {
    load(data, (y + j) * frame.width + x, width, row)
    for (let i = 0, o = 4 * j * width + channel; i < width; i++, o += 4)
      image.data[o] = (row[i] - offset) / scale
  }
}

function load(data: Samples, start: number, count: number, row: Float64Array): void {
  for (let i = 0; i < count; i++) row[i] = data[start + i]
}

function unpackYuv(frame: NativeFrame, coding: Coding, image: FloatImage): void {
  const { x, y, width, height } = image.region
  const { kr, kb } = weightsOf(coding)
  const kg = 1 - kr - kb
  const luma = codeScale(frame.layout, coding.range, 0)
  const chroma = codeScale(frame.layout, coding.range, 1)
  const { data: lumaData } = frame.planes[0]
  const { data: cbData, width: chromaWidth, height: chromaHeight } = frame.planes[1]
  const { data: crData } = frame.planes[2]
  const axes = chromaAxes(frame.layout, coding.siting)
  const across = tapsBetween(axes.x, LUMA, x, width, 0, chromaWidth)
  const down = tapsBetween(axes.y, LUMA, y, height, 0, chromaHeight)
  const first = across.index[0]
  const used = across.index[2 * width - 1] - first + 1
  const lumaRow = new Float64Array(width)
  const above = new Float64Array(used)
  const cbRow = new Float64Array(used)
  const crRow = new Float64Array(used)
  const gainY = 1 / luma.scale
  const redCr = (2 * (1 - kr)) / chroma.scale
  const blueCb = (2 * (1 - kb)) / chroma.scale
  const greenCr = (-kr / kg) * redCr
  const greenCb = (-kb / kg) * blueCb
  const { index, weight } = across
  const { data } = image
  for (let j = 0; j < height; j++) {
    const at0 = down.index[2 * j] * chromaWidth + first
    const at1 = down.index[2 * j + 1] * chromaWidth + first
    const below = down.weight[2 * j + 1]
    load(lumaData, (y + j) * frame.width + x, width, lumaRow)
    blend(cbData, at0, at1, below, above, cbRow)
    blend(crData, at0, at1, below, above, crRow)
    for (let i = 0, t = 0, o = 4 * j * width; i < width; i++, t += 2, o += 4) {
      const a = index[t] - first
      const b = index[t + 1] - first
      const w = weight[t + 1]
      const v = (lumaRow[i] - luma.offset) * gainY
      const cb = cbRow[a] + (cbRow[b] - cbRow[a]) * w - chroma.offset
      const cr = crRow[a] + (crRow[b] - crRow[a]) * w - chroma.offset
      data[o] = v + redCr * cr
      data[o + 1] = v + greenCr * cr + greenCb * cb
      data[o + 2] = v + blueCb * cb
    }
  }
}

/** Two chroma rows mixed: (1 − w)·row0 + w·row1. */
function blend(
  data: Samples,
  at0: number,
  at1: number,
  w: number,
  above: Float64Array,
  out: Float64Array,
): void {
  load(data, at0, out.length, above)
  if (w === 0) {
    out.set(above)
    return
  }
  load(data, at1, out.length, out)
  for (let i = 0; i < out.length; i++) out[i] = above[i] + (out[i] - above[i]) * w
}
