/**
 * A frame into another layout or coding, with nothing else done to it: the null render. No curve, no primaries.
 *
 * - Same samples in both: a copy.
 * - Luma and chroma to luma and chroma of the same matrix: luma only rescaled (8 to 10 bit limited is exactly ×4),
 *   chroma rescaled and, where step or siting differ, taken from one chroma grid to the other by `taps.ts`.
 * - All else through R′G′B′ code values (`unpack`, `packFloat`); float holds code values, integers (2ⁿ − 1)·v.
 *
 * Integers are rounded to nearest, halves up, without dither, and held to the type's range. Alpha is carried (full
 * range) or made opaque.
 *
 * zscale (bilinear, no dither) gives the same within one code, its arithmetic being float32 and its halves rounded to
 * even, but for two things about chroma on a new grid: it rounds to the source's depth between and after its passes
 * (one code of the coarser depth), and codes that the target's range cannot hold it clips before it filters. Here
 * chroma is filtered in float, then rounded and clipped once.
 *
 * Source: [bt601], [bt709], [bt2020]; common practice.
 */
import { allocateFrame, type NativeFrame, type PixelLayout, type Samples } from '../../core/index.js'
import { type CodeScale, codeScale } from './codes.js'
import type { Coding } from './coding.js'
import { packFloat } from './pack.js'
import { chromaAxes, filterRow, tapsBetween } from './taps.js'
import { unpack } from './unpack.js'

export function convertFrame(frame: NativeFrame, from: Coding, layout: PixelLayout, to: Coding): NativeFrame {
  const out = allocateFrame(layout, frame.width, frame.height)
  const yuv = frame.layout.family === 'yuv' && layout.family === 'yuv' && from.matrix === to.matrix
  const rgb = frame.layout.family === 'rgb' && layout.family === 'rgb'
  if (yuv || rgb) {
    for (let p = 0; p < 3; p++) {
      const scale = codeScale(frame.layout, from.range, p)
      if (yuv && p > 0 && !sameGrid(frame, from, layout, to)) regrid(frame, from, out, to, p)
      else rescale(frame.planes[p].data, scale, out.planes[p].data, codeScale(layout, to.range, p))
    }
  } else {
    const whole = { x: 0, y: 0, width: frame.width, height: frame.height }
    const packed = packFloat(unpack(frame, from, whole), layout, to, frame.width, frame.height)
    for (let p = 0; p < 3; p++) {
      const { top } = codeScale(layout, to.range, p)
      rescale(packed.planes[p].data, UNIT, out.planes[p].data, { ...UNIT, top })
    }
  }
  if (layout.alpha) carryAlpha(frame, from, out, to)
  return out
}

const UNIT: CodeScale = { offset: 0, scale: 1, top: Number.POSITIVE_INFINITY }

function sameGrid(frame: NativeFrame, from: Coding, layout: PixelLayout, to: Coding): boolean {
  const a = chromaAxes(frame.layout, from.siting)
  const b = chromaAxes(layout, to.siting)
  return a.x.step === b.x.step && a.x.shift === b.x.shift && a.y.step === b.y.step && a.y.shift === b.y.shift
}

function rescale(source: Samples, from: CodeScale, target: Samples, to: CodeScale): void {
  if (from.offset === to.offset && from.scale === to.scale && from.top === to.top) {
    target.set(source)
    return
  }
  const gain = to.scale / from.scale
  for (let i = 0; i < source.length; i++) {
    target[i] = codeFor(to.offset + (source[i] - from.offset) * gain, to.top)
  }
}

function codeFor(value: number, top: number): number {
  if (top === Number.POSITIVE_INFINITY) return value
  return Math.min(Math.max(Math.floor(value + 0.5), 0), top)
}

/** One chroma plane from its grid to another, across and then down, in float. */
function regrid(frame: NativeFrame, from: Coding, out: NativeFrame, to: Coding, plane: number): void {
  const source = frame.planes[plane]
  const target = out.planes[plane]
  const a = chromaAxes(frame.layout, from.siting)
  const b = chromaAxes(out.layout, to.siting)
  const across = tapsBetween(a.x, b.x, 0, target.width, 0, source.width)
  const down = tapsBetween(a.y, b.y, 0, target.height, 0, source.height)
  const scale = codeScale(frame.layout, from.range, plane)
  const wanted = codeScale(out.layout, to.range, plane)
  const gain = wanted.scale / scale.scale
  const row = new Float64Array(source.width)
  const rows = Array.from({ length: source.height }, (_, j) => {
    const filtered = new Float64Array(target.width)
    for (let i = 0; i < source.width; i++) row[i] = source.data[j * source.width + i]
    filterRow(row, across, target.width, filtered)
    return filtered
  })
  for (let j = 0, o = 0; j < target.height; j++) {
    for (let i = 0; i < target.width; i++, o++) {
      let sum = 0
      for (let t = j * down.n; t < (j + 1) * down.n; t++) sum += down.weight[t] * rows[down.index[t]][i]
      target.data[o] = codeFor(wanted.offset + (sum - scale.offset) * gain, wanted.top)
    }
  }
}

function carryAlpha(frame: NativeFrame, from: Coding, out: NativeFrame, to: Coding): void {
  const wanted = codeScale(out.layout, to.range, 3)
  const target = out.planes[3].data
  if (frame.layout.alpha) {
    rescale(frame.planes[3].data, codeScale(frame.layout, from.range, 3), target, wanted)
  } else target.fill(wanted.scale)
}
