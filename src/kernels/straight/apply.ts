/**
 * Curves on the straight colour of a premultiplied picture, in place; where alpha is 0 or less nothing is changed.
 *
 *   each channel   C = α·f(C/α)
 *   by luminance   C = α·f(Y/α)·min(max(C/Y, 0), 4)    Y = Σ weight·C;  C/Y counts as 1 below Y = 1e-6
 *
 * The second brings light by its curves and keeps the element's own colour as its ratio to that light: deep blacks have
 * no colour to speak of, so a ratio ends at 4. Curves are tables, whose magnitudes end at 2⁻²⁴ and 2¹⁶. Single precision.
 *
 * Source: common practice.
 */
import type { FloatImage, Rgb } from '../../core/index.js'
import { tableAddress } from '../curve/apply.js'
import type { CurveTable } from '../curve/table.js'
import { at } from '../wasm/images.js'
import { duringScratch, words } from '../wasm/memory.js'
import { simd } from '../wasm/module.js'

/** One curve a channel. */
export type ThreeTables = readonly [CurveTable, CurveTable, CurveTable]

export const RICHEST = 4
export const LEAST_LUMINANCE = 1e-6

/** @param luminance weights of the primaries, for what keeps its own colour */
export function straightCurves({ data }: FloatImage, tables: ThreeTables, luminance?: Rgb): void {
  const [r, g, b] = tables.map(tableAddress) as [number, number, number]
  at(data, true, (address) =>
    duringScratch(() => {
      const weights = luminance === undefined ? 0 : words(Float32Array.of(...luminance, 0))
      simd.straightRow(address, data.length >> 2, r, g, b, weights, RICHEST)
    }),
  )
}
