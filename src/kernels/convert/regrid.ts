/** One chroma plane from its grid to another: down, then across, in float. */
import type { NativeFrame, PixelLayout } from '../../core/index.js'
import { doublings, recodeRow } from '../pack/recode.js'
import { type Carried, carried, carryBack, emptyRows, type SampleType } from '../planes/carry.js'
import { codeScale } from '../planes/codes.js'
import type { Coding } from '../planes/coding.js'
import { filterBetween } from '../planes/filter.js'
import { chromaAxes, sameAxis, type Taps, tapsBetween } from '../planes/taps.js'
import { duringScratch, takeBytes } from '../wasm/memory.js'
import { simd } from '../wasm/module.js'

export function sameGrid(a: PixelLayout, from: Coding, b: PixelLayout, to: Coding): boolean {
  const [one, other] = [chromaAxes(a, from.siting), chromaAxes(b, to.siting)]
  return sameAxis(one.x, other.x) && sameAxis(one.y, other.y)
}

/** Plane `index`, 1 or 2; integers, of which the sums are exact. */
export function regrid(frame: NativeFrame, from: Coding, out: NativeFrame, to: Coding, index: number): void {
  const source = frame.planes[index]
  const target = out.planes[index]
  const a = chromaAxes(frame.layout, from.siting)
  const b = chromaAxes(out.layout, to.siting)
  const down = tapsBetween(a.y, b.y, 0, target.height, 0, source.height)
  duringScratch(() => {
    const rows = carried(source, 0, source.height)
    const made = emptyRows(target, 0, target.height)
    const fill = rowMaker({ frame, from, out, to, index }, rows, down, made.type)
    for (let j = 0; j < target.height; j++) fill(j, made.start + made.line * j)
    carryBack(made, target, 0, target.height)
  })
}

interface Ends {
  readonly frame: NativeFrame
  readonly from: Coding
  readonly out: NativeFrame
  readonly to: Coding
  readonly index: number
}

/** Makes row `j` of the target at an address. */
function rowMaker(
  { frame, from, out, to, index }: Ends,
  rows: Carried,
  down: Taps,
  outType: SampleType,
): (j: number, to: number) => void {
  const [{ width }, target] = [frame.planes[index], out.planes[index]]
  const a = chromaAxes(frame.layout, from.siting).x
  const b = chromaAxes(out.layout, to.siting).x
  const scale = codeScale(frame.layout, from.range, index)
  const wanted = codeScale(out.layout, to.range, index)
  const at = (t: number) => rows.start + rows.line * down.index[t]
  const left = doublings(scale, wanted)
  const whole = down.n === 2 && frame.layout.bits <= 12 && left >= 0 && outType === 1 && sameAxis(a, b)
  if (whole) {
    // 4:2:0 to 4:2:2, the commonest of all: weights are whole eighths.
    return (j, made) =>
      simd.mixWidenRow(at(2 * j), at(2 * j + 1), rows.type, 8 * down.weight[2 * j + 1], width, left, made)
  }
  const across = filterBetween(a, b, 0, target.width, 0, width)
  const recode = recodeRow(scale, wanted)
  const [row, more] = [across.room(), across.room()]
  const line = takeBytes(4 * (target.width + 8))
  return (j, made) => {
    const t = down.n * j
    if (down.n === 2) simd.mixRows(at(t), at(t + 1), rows.type, down.weight[t + 1], width, row)
    else {
      simd.zero(row, 4 * width)
      for (let i = t; i < t + down.n; i++) {
        if (down.weight[i] === 0) continue
        simd.mixRows(at(i), at(i), rows.type, 0, width, more)
        simd.addRow(row, more, down.weight[i], width)
      }
    }
    if (!sameAxis(a, b)) across.filter(row, line)
    recode(sameAxis(a, b) ? row : line, 2, target.width, made, outType)
  }
}
