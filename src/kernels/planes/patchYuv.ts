/** Luma and chroma of `patch.ts`, row by row: of chroma from rows filtered across and kept in a small ring. */
import type { NativeFrame, Region } from '../../core/index.js'
import { duringScratch, takeBytes, words } from '../wasm/memory.js'
import { simd } from '../wasm/module.js'
import { type Carried, carried, carryBack, type Pictures, scaleWords } from './carry.js'
import { type Coding, weightsOf } from './coding.js'
import { filterBetween } from './filter.js'
import { type Axis, chromaAxes, LUMA, type Taps, tapsBetween } from './taps.js'

/** Lines of a picture row at the chroma sites: Cb and Cr of both pictures, `keep`, and more than 0 where touched. */
const LINES = 6
const [CB_AFTER, CR_AFTER, CB_BEFORE, CR_BEFORE, KEEP, TOUCHED] = [0, 1, 2, 3, 4, 5] as const

/** `region`: the chroma samples of the pictures' region. */
export function patchYuv(base: NativeFrame, region: Region, p: Pictures, coding: Coding): void {
  const { y, height } = p.region
  const axes = chromaAxes(base.layout, coding.siting)
  const down = tapsBetween(LUMA, axes.y, region.y, region.height, y, height)
  duringScratch(() => {
    const planes = [1, 2].map((i) => carried(base.planes[i], region.y, region.height))
    const codes = [1, 2].map((i) => scaleWords(base, coding, i))
    const line = 4 * (region.width + 4)
    const luma = carried(base.planes[0], y, height)
    const settleLuma = lumaSettler(luma, p, scaleWords(base, coding, 0))
    const fill = rowMaker(axes.x, region, p, weights(coding), line, settleLuma)
    const ring = Array.from({ length: down.n + 1 }, () => ({ y: -1, start: takeBytes(LINES * line) }))
    const fetch = (row: number): number => {
      const slot = ring[row % ring.length]
      if (slot.y !== row) fill(row, slot.start)
      slot.y = row
      return slot.start
    }
    const sum = takeBytes(LINES * line)
    const filteredDown = (j: number): number => {
      const alone = down.weight.subarray(j * down.n, (j + 1) * down.n).indexOf(1)
      if (alone >= 0) return fetch(down.index[j * down.n + alone])
      simd.zero(sum, LINES * line)
      for (let t = j * down.n; t < (j + 1) * down.n; t++) {
        if (down.weight[t] !== 0) simd.addRow(sum, fetch(down.index[t]), down.weight[t], (LINES * line) >> 2)
      }
      return sum
    }
    for (let j = 0; j < region.height; j++) {
      if (!anyBusy(p.busy, down, j)) continue
      const lines = filteredDown(j)
      const at = (l: number) => lines + l * line
      for (const [i, [after, before]] of PAIRS.entries()) {
        const { start, line: stride, type } = planes[i]
        const to = start + stride * j + (region.x << type)
        const [keep, mask] = [at(KEEP), at(TOUCHED)]
        simd.settleRow(to, type, at(after), at(before), keep, mask, 2, region.width, codes[i])
      }
    }
    planes.forEach((c, i) => {
      carryBack(c, base.planes[i + 1], region.y, region.height)
    })
    carryBack(luma, base.planes[0], y, height)
  })
}

const PAIRS = [
  [CB_AFTER, CB_BEFORE],
  [CR_AFTER, CR_BEFORE],
] as const

/** As `lumaChromaRow` takes them. */
function weights(coding: Coding): number {
  const { kr, kb } = weightsOf(coding)
  return words(Float32Array.of(kr, 1 - kr - kb, kb, 1 / (2 * (1 - kb)), 1 / (2 * (1 - kr))))
}

/** New luma of a picture row from its luma after and before. */
type SettleLuma = (row: number, after: number, before: number) => void

function lumaSettler({ start, line, type }: Carried, p: Pictures, codes: number): SettleLuma {
  const { x, width } = p.region
  return (row, after, before) => {
    if (p.busy[row] === 0) return
    const i = row * width
    const to = start + line * row + (x << type)
    simd.settleRow(to, type, after, before, p.keep + 4 * i, p.touched + i, 0, width, codes)
  }
}

/**
 * Makes the lines of one picture row, each filtered across to the chroma sites. Rows come from the top down, each busy one once,
 * and luma is settled on the way: both are made from one look at the pixels.
 */
function rowMaker(axis: Axis, region: Region, p: Pictures, k: number, line: number, settleLuma: SettleLuma) {
  const { x, width } = p.region
  const across = filterBetween(LUMA, axis, region.x, region.width, x, width)
  const rows = [0, 1].map(() => across.room())
  const [after, before] = [0, 1].map(() => takeBytes(4 * width)) as [number, number]
  return (row: number, out: number): void => {
    const i = row * width
    const to = (l: number) => out + l * line
    const made = (picture: number, luma: number, cb: number, cr: number) => {
      simd.lumaChromaRow(picture + 16 * i, width, k, luma, rows[0], rows[1])
      across.filter(rows[0], to(cb))
      across.filter(rows[1], to(cr))
    }
    made(p.after, after, CB_AFTER, CR_AFTER)
    made(p.before, before, CB_BEFORE, CR_BEFORE)
    settleLuma(row, after, before)
    simd.floatRow(p.keep + 4 * i, 2, width, rows[0])
    across.filter(rows[0], to(KEEP))
    simd.floatRow(p.touched + i, 0, width, rows[0])
    across.filter(rows[0], to(TOUCHED))
  }
}

function anyBusy(busy: Uint8Array, down: Taps, j: number): boolean {
  for (let t = j * down.n; t < (j + 1) * down.n; t++) {
    if (down.weight[t] !== 0 && busy[down.index[t]] !== 0) return true
  }
  return false
}
