/** Converting in plain TypeScript, in single precision: what the kernels must equal to the bit. */
import { allocateFrame, type NativeFrame, type PixelLayout } from '../../core/index.js'
import { applyCurve } from '../curve/scalar.js'
import type { CurveTables } from '../curve/table.js'
import { pack, recode } from '../pack/scalar.js'
import { codeScale, sameScale } from '../planes/codes.js'
import type { Coding } from '../planes/coding.js'
import { unpack } from '../planes/scalar.js'
import { chromaAxes, type Taps, tapsBetween } from '../planes/taps.js'
import { sameGrid } from './regrid.js'

const { fround } = Math

/** See `apply.ts`. */
export function convertFrame(
  frame: NativeFrame,
  from: Coding,
  layout: PixelLayout,
  to: Coding,
  curves: readonly CurveTables[] = [],
): NativeFrame {
  const out = allocateFrame(layout, frame.width, frame.height)
  const { family } = frame.layout
  const direct = family === layout.family && (family === 'rgb' || from.matrix === to.matrix)
  if (!direct || curves.length > 0) repack(frame, from, out, to, curves)
  for (let p = direct && curves.length === 0 ? 0 : 3; p < out.planes.length; p++) {
    const wanted = codeScale(layout, to.range, p)
    if (p === 3 && !frame.layout.alpha) out.planes[p].data.fill(wanted.scale)
    else if ((p === 1 || p === 2) && !sameGrid(frame.layout, from, layout, to))
      regrid(frame, from, out, to, p)
    else {
      const scale = codeScale(frame.layout, from.range, p)
      const source = frame.planes[p].data
      const same = sameScale(scale, wanted)
      for (let i = 0; i < source.length; i++) {
        out.planes[p].data[i] = same ? source[i] : recode(source[i], scale, wanted)
      }
    }
  }
  return out
}

function repack(
  frame: NativeFrame,
  from: Coding,
  out: NativeFrame,
  to: Coding,
  curves: readonly CurveTables[],
): void {
  const image = unpack(frame, from, { x: 0, y: 0, width: frame.width, height: frame.height })
  for (const curve of curves) applyCurve(image, curve)
  const packed = pack(image, out.layout, to)
  for (let p = 0; p < 3; p++) out.planes[p].data.set(packed.planes[p].data)
}

function regrid(frame: NativeFrame, from: Coding, out: NativeFrame, to: Coding, plane: number): void {
  const source = frame.planes[plane]
  const target = out.planes[plane]
  const a = chromaAxes(frame.layout, from.siting)
  const b = chromaAxes(out.layout, to.siting)
  const across = tapsBetween(a.x, b.x, 0, target.width, 0, source.width)
  const down = tapsBetween(a.y, b.y, 0, target.height, 0, source.height)
  const scale = codeScale(frame.layout, from.range, plane)
  const wanted = codeScale(out.layout, to.range, plane)
  for (let j = 0, o = 0; j < target.height; j++) {
    const row = Float32Array.from({ length: source.width }, (_, i) =>
      weighted(down, j, (k) => source.data[k * source.width + i]),
    )
    for (let i = 0; i < target.width; i++, o++) {
      target.data[o] = recode(
        weighted(across, i, (k) => row[k]),
        scale,
        wanted,
      )
    }
  }
}

/** Σ weight·value of sample `i`; exact for integers, since the weights are whole fractions of a power of two. */
function weighted({ n, index, weight }: Taps, i: number, value: (k: number) => number): number {
  let sum = 0
  for (let t = n * i; t < n * (i + 1); t++) sum = fround(sum + fround(weight[t] * value(index[t])))
  return sum
}
