/** Packing in plain TypeScript, in single precision: what `simd.ts` must equal to the bit. */
import { allocateFrame, type FloatImage, type NativeFrame, type PixelLayout } from '../../core/index.js'
import { type CodeScale, codeScale, NOMINAL } from '../planes/codes.js'
import { type Coding, evenWeights } from '../planes/coding.js'
import { filtered } from '../planes/patchScalar.js'
import { chromaAxes, LUMA, tapsBetween } from '../planes/taps.js'

const { fround } = Math

/** See `apply.ts`. */
export function pack(image: FloatImage, layout: PixelLayout, coding: Coding): NativeFrame {
  const { width, height } = image.region
  const { data } = image
  const out = allocateFrame(layout, width, height)
  const full = (plane: number, value: (p: number) => number) => {
    const to = codeScale(layout, coding.range, plane)
    const samples = out.planes[plane].data
    for (let p = 0; p < samples.length; p++) samples[p] = recode(value(p), NOMINAL, to)
  }
  if (layout.family === 'rgb') for (let c = 0; c < 3; c++) full(c, (p) => data[4 * p + c])
  else {
    const luma = lumaOf(data, coding)
    full(0, luma)
    for (const plane of [1, 2] as const) packChroma(image, luma, out, coding, plane)
  }
  if (layout.alpha) full(3, (p) => data[4 * p + 3])
  return out
}

/** Y′ of pixel `p`. */
function lumaOf(data: Float32Array, coding: Coding): (p: number) => number {
  const { kr, kg, kb } = evenWeights(coding)
  return (p) => {
    const r = fround(kr * data[4 * p])
    const g = fround(kg * data[4 * p + 1])
    return fround(fround(r + g) + fround(kb * data[4 * p + 2]))
  }
}

function packChroma(
  image: FloatImage,
  luma: (p: number) => number,
  out: NativeFrame,
  coding: Coding,
  plane: 1 | 2,
): void {
  const { data } = image
  const { width, height } = image.region
  const { kr, kb } = evenWeights(coding)
  const [own, part] = plane === 1 ? [2, kb] : [0, kr]
  const half = fround(1 / (2 * (1 - part)))
  const value = (p: number) => fround(fround(data[4 * p + own] - luma(p)) * half)
  const axes = chromaAxes(out.layout, coding.siting)
  const target = out.planes[plane]
  const across = tapsBetween(LUMA, axes.x, 0, target.width, 0, width)
  const down = tapsBetween(LUMA, axes.y, 0, target.height, 0, height)
  const everywhere = out.layout.subX === 0 && out.layout.subY === 0
  const to = codeScale(out.layout, coding.range, plane)
  for (let j = 0, o = 0; j < target.height; j++) {
    for (let i = 0; i < target.width; i++, o++) {
      target.data[o] = recode(everywhere ? value(o) : filtered(value, across, i, down, j, width), NOMINAL, to)
    }
  }
}

/**
 * A sample of one scale in another: integers to nearest, halves up, held to 0 … top, NaN 0; floats divided, so that the
 * code for 1 is 1.
 */
export function recode(sample: number, from: CodeScale, to: CodeScale): number {
  const above = fround(sample - from.offset)
  if (to.top === Number.POSITIVE_INFINITY) return fround(above / from.scale)
  const value = fround(fround(to.offset) + fround(above * fround(to.scale / from.scale)))
  const code = Math.min(Math.max(Math.floor(fround(value + 0.5)), 0), to.top)
  return Number.isNaN(code) ? 0 : code
}
