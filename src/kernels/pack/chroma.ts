/** The chroma half of `apply.ts`: rows at every pixel come in from the top, both planes go out as soon as they can. */
import type { NativeFrame } from '../../core/index.js'
import { type Carried, carryBack, emptyRows } from '../planes/carry.js'
import { codeScale, NOMINAL } from '../planes/codes.js'
import type { Coding } from '../planes/coding.js'
import { filterBetween } from '../planes/filter.js'
import { chromaAxes, LUMA, sameAxis, tapsBetween } from '../planes/taps.js'
import { takeBytes } from '../wasm/memory.js'
import { simd } from '../wasm/module.js'
import { recodeRow } from './recode.js'

export interface ChromaSink {
  /** Rows of the picture up to `end` are about to come, in a scratch of their own. */
  open(end: number): void
  /** Where Cb and Cr of a row at every pixel are to be laid. */
  room(row: number): { readonly cb: number; readonly cr: number }
  /** They lie there. */
  take(row: number): void
  /** What is finished goes to the frame. */
  close(): void
}

/**
 * Rows are filtered across and kept in a ring until the last that a row of chroma needs has come. Not beyond the
 * scratch that this is called in.
 */
export function chromaSink(out: NativeFrame, coding: Coding): ChromaSink {
  const [, one, other] = out.planes
  const axes = chromaAxes(out.layout, coding.siting)
  const down = tapsBetween(LUMA, axes.y, 0, one.height, 0, out.height)
  const { n, index, weight } = down
  const across = filterBetween(LUMA, axes.x, 0, one.width, 0, out.width)
  const wide = { cb: across.room(), cr: across.room() }
  const recode = recodeRow(NOMINAL, codeScale(out.layout, coding.range, 1))
  const line = 4 * (one.width + 4)
  const ring = takeBytes(2 * line * n)
  const sum = takeBytes(2 * line)
  const slot = (row: number) => ring + 2 * line * (row % n)
  const lastOf = (j: number) => {
    let last = 0
    for (let t = n * j; t < n * (j + 1); t++) if (weight[t] !== 0) last = Math.max(last, index[t])
    return last
  }
  const last = Array.from({ length: one.height }, (_, j) => lastOf(j))

  /** Where both lines of chroma row `j` stand. */
  const filteredDown = (j: number): number => {
    if (sameAxis(axes.y, LUMA)) return slot(j)
    simd.zero(sum, 2 * line)
    for (let t = n * j; t < n * (j + 1); t++) {
      if (weight[t] !== 0) simd.addRow(sum, slot(index[t]), weight[t], line >> 1)
    }
    return sum
  }

  let first = 0
  let next = 0
  let lines: readonly Carried[] = []
  return {
    open(end) {
      first = next
      let rows = 0
      while (first + rows < one.height && last[first + rows] < end) rows++
      lines = [one, other].map((plane) => emptyRows(plane, first, rows))
    },
    room(row) {
      return sameAxis(axes.x, LUMA) ? { cb: slot(row), cr: slot(row) + line } : wide
    },
    take(row) {
      if (!sameAxis(axes.x, LUMA)) {
        across.filter(wide.cb, slot(row))
        across.filter(wide.cr, slot(row) + line)
      }
      for (; next < one.height && last[next] <= row; next++) {
        const from = filteredDown(next)
        lines.forEach(({ start, line: stride, type }, i) => {
          recode(from + line * i, 2, one.width, start + stride * (next - first), type)
        })
      }
    },
    close() {
      lines.forEach((carried, i) => {
        carryBack(carried, i === 0 ? one : other, first, next - first)
      })
    },
  }
}
