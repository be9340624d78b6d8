/** Rows of samples from one scale of codes to another: see `recode` in `scalar.ts`. */
import type { SampleType } from '../planes/carry.js'
import type { CodeScale } from '../planes/codes.js'
import { words } from '../wasm/memory.js'
import { simd } from '../wasm/module.js'

/** `count` samples of `type` at `src` to `outType` at `out`. */
export type RecodeRow = (
  src: number,
  type: SampleType,
  count: number,
  out: number,
  outType: SampleType,
) => void

/** Not beyond the scratch that this is called in. */
export function recodeRow(from: CodeScale, to: CodeScale): RecodeRow {
  const k = words(Float32Array.of(from.offset, to.scale / from.scale, to.offset, to.top))
  const left = doublings(from, to)
  return (src, type, count, out, outType) => {
    if (outType === 2) simd.floatsRow(src, type, count, from.offset, from.scale, out)
    else if (outType === 1 && type !== 2 && left >= 0) simd.widenRow(src, type, count, left, out)
    else simd.codesRow(src, type, count, k, out, outType)
  }
}

/** How often a code is doubled from one scale to the other, 8 to 10 bits limited twice; −1 where that is not all. */
export function doublings(from: CodeScale, to: CodeScale): number {
  const gain = to.scale / from.scale
  const left = Math.log2(gain)
  const whole = Number.isInteger(left) && to.offset === from.offset * gain && from.top * gain <= to.top
  return whole ? Math.max(left, -1) : -1
}
