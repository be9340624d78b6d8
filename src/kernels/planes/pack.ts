/**
 * A float picture of code values to unrounded native samples: the inverse of `unpack`.
 *
 *   Y = Kr·R′ + Kg·G′ + Kb·B′, Cb = (B′ − Y)/(2(1 − Kb)), Cr = (R′ − Y)/(2(1 − Kr)), then code = offset + scale·v
 *
 * Chroma of a site is the triangle of `taps.ts` over the full-size chroma around it ([1 2 1]/4 on a luma
 * site, [1 3 3 1]/8 between two, for step 2): with linear interpolation on the way back a constant stays constant and a ramp a ramp.
 * What the filter would read beyond the region mirrors at the region's edge, which is right only at the frame's border:
 * elsewhere the outermost chroma samples are approximate.
 *
 * Source: [bt601], [bt709], [bt2020] (non-constant luminance).
 * @throws Problem `kernels.region-outside`, `kernels.region-unaligned`, `kernels.no-matrix`
 */
import { type FloatImage, type PixelLayout, Problem, type Region } from '../../core/index.js'
import { chromaRow, chromaScratch } from './chroma-rows.js'
import { codeScale } from './codes.js'
import { type Coding, checkInside, weightsOf } from './coding.js'
import { chromaAxes, LUMA, tapsBetween } from './taps.js'

/** Unrounded samples of one plane over `region`, in the plane's own sample coordinates. */
export interface FloatPlane {
  readonly region: Region
  readonly data: Float32Array
}

export interface FloatPlanes {
  readonly layout: PixelLayout
  /** Y, Cb, Cr (, A) or R, G, B (, A). */
  readonly planes: readonly FloatPlane[]
}

/** Samples whose sites lie in the picture's region, in the layout's code units. */
export function packFloat(
  image: FloatImage,
  layout: PixelLayout,
  coding: Coding,
  frameWidth: number,
  frameHeight: number,
): FloatPlanes {
  const chroma = chromaRegion(image.region, layout, frameWidth, frameHeight)
  const planes: FloatPlane[] = []
  if (layout.family === 'rgb') {
    for (let p = 0; p < 3; p++) planes.push(channelPlane(image, layout, coding, p))
  } else {
    planes.push(lumaPlane(image, layout, coding), ...chromaPlanes(image, layout, coding, chroma))
  }
  if (layout.alpha) planes.push(channelPlane(image, layout, coding, 3))
  return { layout, planes }
}

/** The chroma samples of an aligned region of the frame. */
export function chromaRegion(
  region: Region,
  layout: PixelLayout,
  frameWidth: number,
  frameHeight: number,
): Region {
  checkInside(region, frameWidth, frameHeight)
  const stepX = 1 << layout.subX
  const stepY = 1 << layout.subY
  const right = region.x + region.width
  const bottom = region.y + region.height
  if (
    region.x % stepX !== 0 ||
    region.y % stepY !== 0 ||
    (right % stepX !== 0 && right !== frameWidth) ||
    (bottom % stepY !== 0 && bottom !== frameHeight)
  ) {
    throw new Problem({
      code: 'kernels.region-unaligned',
      what: 'The region cuts through chroma samples',
      expected: `edges on multiples of ${stepX}×${stepY} or on the frame's border`,
      received: `${region.width}×${region.height} at ${region.x}, ${region.y}`,
      exit: 3,
    })
  }
  const x = region.x / stepX
  const y = region.y / stepY
  return { x, y, width: Math.ceil(right / stepX) - x, height: Math.ceil(bottom / stepY) - y }
}

function channelPlane(image: FloatImage, layout: PixelLayout, coding: Coding, channel: number): FloatPlane {
  const { offset, scale } = codeScale(layout, coding.range, channel)
  const data = new Float32Array(image.region.width * image.region.height)
  for (let i = 0, o = channel; i < data.length; i++, o += 4) data[i] = offset + scale * image.data[o]
  return { region: image.region, data }
}

function lumaPlane(image: FloatImage, layout: PixelLayout, coding: Coding): FloatPlane {
  const { kr, kb } = weightsOf(coding)
  const kg = 1 - kr - kb
  const { offset, scale } = codeScale(layout, coding.range, 0)
  const data = new Float32Array(image.region.width * image.region.height)
  for (let i = 0, o = 0; i < data.length; i++, o += 4) {
    data[i] = offset + scale * (kr * image.data[o] + kg * image.data[o + 1] + kb * image.data[o + 2])
  }
  return { region: image.region, data }
}

function chromaPlanes(image: FloatImage, layout: PixelLayout, coding: Coding, region: Region): FloatPlane[] {
  const { x, y, width, height } = image.region
  const weights = weightsOf(coding)
  const axes = chromaAxes(layout, coding.siting)
  const across = tapsBetween(LUMA, axes.x, region.x, region.width, x, width)
  const down = tapsBetween(LUMA, axes.y, region.y, region.height, y, height)
  const { offset, scale } = codeScale(layout, coding.range, 1)
  const scratch = chromaScratch(width)
  const cb = new Float64Array(region.width)
  const cr = new Float64Array(region.width)
  const sumCb = new Float64Array(region.width * region.height)
  const sumCr = new Float64Array(region.width * region.height)
  const users = rowUsers(down.index, down.weight, down.n, region.height, height)
  for (let row = 0; row < height; row++) {
    if (users[row].length === 0) continue
    chromaRow(image, row, weights, across, region.width, scratch, cb, cr)
    for (const t of users[row]) {
      const w = down.weight[t]
      for (let i = 0, o = Math.floor(t / down.n) * region.width; i < region.width; i++, o++) {
        sumCb[o] += w * cb[i]
        sumCr[o] += w * cr[i]
      }
    }
  }
  const plane = (sum: Float64Array): FloatPlane => {
    const data = new Float32Array(sum.length)
    for (let i = 0; i < data.length; i++) data[i] = offset + scale * sum[i]
    return { region, data }
  }
  return [plane(sumCb), plane(sumCr)]
}

/** For each source row, the taps that read it. */
function rowUsers(
  index: Int32Array,
  weight: Float64Array,
  n: number,
  count: number,
  rows: number,
): number[][] {
  const users: number[][] = Array.from({ length: rows }, () => [])
  for (let t = 0; t < n * count; t++) if (weight[t] !== 0) users[index[t]].push(t)
  return users
}
