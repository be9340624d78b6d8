/** The patch in plain TypeScript, in single precision: what `simd.ts` must equal to the bit. */
import type { FloatImage, NativeFrame } from '../../core/index.js'
import { chromaRegion } from './chromaRegion.js'
import { type CodeScale, codeScale } from './codes.js'
import { type Coding, weightsOf } from './coding.js'
import { chromaAxes, LUMA, type Taps, tapsBetween } from './taps.js'

const { fround } = Math

/** See `patch.ts`. */
export function patch(
  base: NativeFrame,
  before: FloatImage,
  after: FloatImage,
  keep: Float32Array,
  touched: Uint8Array,
  coding: Coding,
): void {
  const { layout } = base
  const scale = (plane: number) => codeScale(layout, coding.range, plane)
  const full = (plane: number, value: (data: Float32Array, p: number) => number) => {
    const { x, y, width } = before.region
    for (let p = 0; p < touched.length; p++) {
      if (touched[p] === 0) continue
      const o = (y + Math.floor(p / width)) * base.width + x + (p % width)
      const { data } = base.planes[plane]
      data[o] = settle(data[o], value(after.data, p), value(before.data, p), keep[p], scale(plane))
    }
  }
  const channel = (c: number) => (data: Float32Array, p: number) => data[4 * p + c]
  if (layout.family === 'rgb') for (let c = 0; c < 3; c++) full(c, channel(c))
  else {
    full(0, (data, p) => luma(data, p, coding))
    for (const plane of [1, 2] as const) patchChroma(base, plane, before, after, keep, touched, coding)
  }
  if (layout.alpha) full(3, channel(3))
}

function luma(data: Float32Array, p: number, coding: Coding): number {
  const { kr, kb } = weightsOf(coding)
  const [r, g, b] = [kr, 1 - kr - kb, kb].map((k, c) => fround(fround(k) * data[4 * p + c])) as [
    number,
    number,
    number,
  ]
  return fround(fround(r + g) + b)
}

function patchChroma(
  base: NativeFrame,
  plane: 1 | 2,
  before: FloatImage,
  after: FloatImage,
  keep: Float32Array,
  touched: Uint8Array,
  coding: Coding,
): void {
  const { x, y, width, height } = before.region
  const region = chromaRegion(before.region, base.layout, base.width, base.height)
  const { kr, kb } = weightsOf(coding)
  const [own, part] = plane === 1 ? [2, kb] : [0, kr]
  const half = fround(1 / (2 * (1 - part)))
  const chroma = (data: Float32Array) => (p: number) =>
    fround(fround(data[4 * p + own] - luma(data, p, coding)) * half)
  const axes = chromaAxes(base.layout, coding.siting)
  const across = tapsBetween(LUMA, axes.x, region.x, region.width, x, width)
  const down = tapsBetween(LUMA, axes.y, region.y, region.height, y, height)
  const { data, width: stride } = base.planes[plane]
  const codes = codeScale(base.layout, coding.range, plane)
  for (let j = 0; j < region.height; j++) {
    for (let i = 0; i < region.width; i++) {
      const at = (value: (p: number) => number) => filtered(value, across, i, down, j, width)
      if (at((p) => touched[p]) === 0) continue
      const o = (region.y + j) * stride + region.x + i
      const [a, b, k] = [at(chroma(after.data)), at(chroma(before.data)), at((p) => keep[p])]
      data[o] = settle(data[o], a, b, k, codes)
    }
  }
}

/** Across, then down; a sample of weight 0 is not looked at. */
export function filtered(
  value: (p: number) => number,
  across: Taps,
  i: number,
  down: Taps,
  j: number,
  width: number,
): number {
  let sum = 0
  for (let t = j * down.n; t < (j + 1) * down.n; t++) {
    if (down.weight[t] === 0) continue
    let row = 0
    for (let s = i * across.n; s < (i + 1) * across.n; s++) {
      if (across.weight[s] === 0) continue
      row = fround(row + fround(across.weight[s] * value(down.index[t] * width + across.index[s])))
    }
    sum = fround(sum + fround(down.weight[t] * row))
  }
  return sum
}

/**
 * One new sample from nominal values: `after` plus what the way through float lost of `base`, as far as `keep` says.
 */
function settle(
  base: number,
  after: number,
  before: number,
  keep: number,
  { offset, scale, top }: CodeScale,
) {
  const now = fround(offset + fround(scale * after))
  const old = fround(offset + fround(scale * before))
  if (keep === 1 && now === old && !Number.isNaN(base)) return base
  const lost = fround(keep * fround(base - old))
  const value = fround(now + (lost - lost === 0 ? lost : 0))
  if (Number.isNaN(value)) return 0
  return top === Number.POSITIVE_INFINITY
    ? value
    : Math.min(Math.max(Math.floor(fround(value + 0.5)), 0), top)
}
