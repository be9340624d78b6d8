/** The chroma half of `patch.ts`: both chroma planes row by row, from rows filtered across and kept in a small ring. */
import type { FloatImage, NativeFrame, Region } from '../../core/index.js'
import { chromaRow, chromaScratch } from './chroma-rows.js'
import { codeScale } from './codes.js'
import { type Coding, weightsOf } from './coding.js'
import { settle } from './settle.js'
import { chromaAxes, filterRow, LUMA, type Taps, tapsBetween } from './taps.js'

/** One picture row at the chroma sites: Cb, Cr of both pictures, `keep`, and more than 0 where touched. */
interface Row {
  y: number
  readonly cbAfter: Float64Array
  readonly crAfter: Float64Array
  readonly cbBefore: Float64Array
  readonly crBefore: Float64Array
  readonly keep: Float64Array
  readonly touched: Float64Array
}

function emptyRow(width: number): Row {
  const line = () => new Float64Array(width)
  return {
    y: -1,
    cbAfter: line(),
    crAfter: line(),
    cbBefore: line(),
    crBefore: line(),
    keep: line(),
    touched: line(),
  }
}

export function patchChroma(
  base: NativeFrame,
  region: Region,
  before: FloatImage,
  after: FloatImage,
  keep: Float32Array,
  touched: Uint8Array,
  coding: Coding,
): void {
  const { x, y, width, height } = before.region
  const weights = weightsOf(coding)
  const axes = chromaAxes(base.layout, coding.siting)
  const across = tapsBetween(LUMA, axes.x, region.x, region.width, x, width)
  const down = tapsBetween(LUMA, axes.y, region.y, region.height, y, height)
  const { offset, scale, top } = codeScale(base.layout, coding.range, 1)
  const { data: cbData, width: stride } = base.planes[1]
  const { data: crData } = base.planes[2]
  const busy = touchedRows(touched, width, height)
  const ring = Array.from({ length: down.n + 1 }, () => emptyRow(region.width))
  const scratch = chromaScratch(width)
  const sum = emptyRow(region.width)
  const fetch = (row: number): Row => {
    const slot = ring[row % ring.length]
    if (slot.y === row) return slot
    slot.y = row
    chromaRow(after, row, weights, across, region.width, scratch, slot.cbAfter, slot.crAfter)
    chromaRow(before, row, weights, across, region.width, scratch, slot.cbBefore, slot.crBefore)
    spread(keep, row * width, scratch.cb, across, region.width, slot.keep)
    spread(touched, row * width, scratch.cb, across, region.width, slot.touched)
    return slot
  }
  for (let j = 0; j < region.height; j++) {
    if (!anyBusy(busy, down, j)) continue
    clear(sum)
    for (let t = j * down.n; t < (j + 1) * down.n; t++) {
      if (down.weight[t] !== 0) accumulate(sum, fetch(down.index[t]), down.weight[t])
    }
    for (let i = 0, o = (region.y + j) * stride + region.x; i < region.width; i++, o++) {
      if (sum.touched[i] === 0) continue
      const k = sum.keep[i]
      cbData[o] = settle(cbData[o], offset + scale * sum.cbAfter[i], offset + scale * sum.cbBefore[i], k, top)
      crData[o] = settle(crData[o], offset + scale * sum.crAfter[i], offset + scale * sum.crBefore[i], k, top)
    }
  }
}

function spread(
  plane: Float32Array | Uint8Array,
  start: number,
  scratch: Float64Array,
  taps: Taps,
  count: number,
  out: Float64Array,
): void {
  for (let i = 0; i < scratch.length; i++) scratch[i] = plane[start + i]
  filterRow(scratch, taps, count, out)
}

function touchedRows(touched: Uint8Array, width: number, height: number): Uint8Array {
  const rows = new Uint8Array(height)
  for (let y = 0; y < height; y++) {
    let any = 0
    for (let i = y * width; i < (y + 1) * width; i++) any |= touched[i]
    rows[y] = any === 0 ? 0 : 1
  }
  return rows
}

function anyBusy(busy: Uint8Array, down: Taps, j: number): boolean {
  for (let t = j * down.n; t < (j + 1) * down.n; t++) {
    if (down.weight[t] !== 0 && busy[down.index[t]] !== 0) return true
  }
  return false
}

function clear(row: Row): void {
  for (const line of lines(row)) line.fill(0)
}

function lines(row: Row): readonly Float64Array[] {
  return [row.cbAfter, row.crAfter, row.cbBefore, row.crBefore, row.keep, row.touched]
}

function accumulate(sum: Row, row: Row, w: number): void {
  const to = lines(sum)
  const from = lines(row)
  for (let l = 0; l < to.length; l++) {
    const a = to[l]
    const b = from[l]
    for (let i = 0; i < a.length; i++) a[i] += w * b[i]
  }
}
