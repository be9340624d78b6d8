/**
 * Grain's books in bulk: the variance that a level should have, and what is missing of it added as grain.
 *
 *   missing = max(σ²(level) − σ², 0)     level + √(missing (1 − s)) · fine + √(missing s) · coarse     where touched
 *
 * σ²(level) and s(level), the coarse part's share of it, by one table a channel. Four values a pixel of variance: R, G, B and one unused. Single precision.
 */
import type { FloatImage } from '../../core/index.js'
import { tableAddress } from '../curve/apply.js'
import type { CurveTable } from '../curve/table.js'
import { at } from '../wasm/images.js'
import { duringScratch, newFloats, words } from '../wasm/memory.js'
import { simd } from '../wasm/module.js'
import type { GrainRows } from './apply.js'

/** Variance by level, a channel. */
export type VarianceTables = readonly [CurveTable, CurveTable, CurveTable]

/** Variance of each pixel's level. */
export function varianceOf({ data }: FloatImage, tables: VarianceTables): Float32Array {
  const out = newFloats(data.length)
  const [r, g, b] = tables.map(tableAddress) as [number, number, number]
  at(data, false, (from) => {
    at(out, true, (to) => simd.varianceRow(from, data.length >> 2, r, g, b, to))
  })
  return out
}

/** Fields that lie over one region. */
export interface Grains {
  readonly fine: GrainRows
  /** With the share of the variance that it has at a level. */
  readonly coarse: { readonly rows: GrainRows; readonly share: VarianceTables } | undefined
}

/** In place; the picture's upper row is row `top` of the grain's region, which is as wide. */
export function topUp(
  { region, data }: FloatImage,
  variance: Float32Array,
  touched: Uint8Array,
  norm: VarianceTables,
  { fine, coarse }: Grains,
  top = 0,
): void {
  const { width, height } = region
  const tables = Int32Array.from([...norm, ...(coarse?.share ?? [])].map(tableAddress))
  at(data, true, (light) => {
    at(variance, false, (v) => {
      at(touched, false, (t) => {
        duringScratch(() => {
          const addresses = words(tables)
          for (let y = 0; y < height; y++) {
            const p = y * width
            const blotches = coarse === undefined ? 0 : coarse.rows(top + y)
            simd.topUpRow(light + 16 * p, v + 16 * p, fine(top + y), blotches, t + p, width, addresses)
          }
        })
      })
    })
  })
}
