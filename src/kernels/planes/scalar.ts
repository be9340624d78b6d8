/** Unpacking in plain TypeScript, in single precision: what `simd.ts` must equal to the bit. */
import { emptyImage, type FloatImage, type NativeFrame, type Region, type Samples } from '../../core/index.js'
import { codeScale } from './codes.js'
import { type Coding, checkInside, weightsOf } from './coding.js'
import { chromaAxes, LUMA, tapsBetween } from './taps.js'

const { fround } = Math

/** Native samples to a picture: see `unpack.ts`. */
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
  const row = new Float32Array(width)
  for (let j = 0; j < height; j++) {
    load(data, (y + j) * frame.width + x, width, row)
    for (let i = 0, o = 4 * j * width + channel; i < width; i++, o += 4) {
      image.data[o] = frame.layout.float ? row[i] : fround(row[i] - offset) / scale
    }
  }
}

function load(data: Samples, start: number, count: number, row: Float32Array): void {
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
  const lumaRow = new Float32Array(width)
  const above = new Float32Array(used)
  const cbRow = new Float32Array(used)
  const crRow = new Float32Array(used)
  const redCr = fround((2 * (1 - kr)) / chroma.scale)
  const blueCb = fround((2 * (1 - kb)) / chroma.scale)
  const greenCr = fround((-2 * kr * (1 - kr)) / kg / chroma.scale)
  const greenCb = fround((-2 * kb * (1 - kb)) / kg / chroma.scale)
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
      const v = fround(fround(lumaRow[i] - luma.offset) / luma.scale)
      const cb = fround(mixed(cbRow[a], cbRow[b], w) - chroma.offset)
      const cr = fround(mixed(crRow[a], crRow[b], w) - chroma.offset)
      data[o] = v + fround(redCr * cr)
      data[o + 1] = fround(v + fround(greenCr * cr)) + fround(greenCb * cb)
      data[o + 2] = v + fround(blueCb * cb)
    }
  }
}

/** Two chroma rows mixed: (1 − w)·row0 + w·row1. */
function blend(
  data: Samples,
  at0: number,
  at1: number,
  w: number,
  above: Float32Array,
  out: Float32Array,
): void {
  load(data, at0, out.length, above)
  if (w === 0) {
    out.set(above)
    return
  }
  load(data, at1, out.length, out)
  for (let i = 0; i < out.length; i++) out[i] = mixed(above[i], out[i], w)
}

/** a + (b − a)·w; taps are whole fractions of a power of two, so w is a float exactly. */
function mixed(a: number, b: number, w: number): number {
  return fround(a + fround(fround(b - a) * w))
}
