/** `topUp.ts` in plain TypeScript: what `simd.ts` must equal to the bit. */
import type { FloatImage } from '../../core/index.js'
import { tableAt } from '../curve/table.js'
import type { Field } from './apply.js'
import type { Coarse } from './coarse.js'
import { coarseField, grainField } from './scalar.js'
import type { VarianceTables } from './topUp.js'

const { fround } = Math

export function varianceOf({ data }: FloatImage, tables: VarianceTables): Float32Array {
  return Float32Array.from(data, (level, i) =>
    i % 4 === 3 ? 0 : tableAt(tables[(i % 4) as 0 | 1 | 2], level),
  )
}

export function topUp(
  { region, data }: FloatImage,
  variance: Float32Array,
  touched: Uint8Array,
  tables: VarianceTables,
  { seed, frame, taps, mixing }: Field,
  coarse?: Coarse & { readonly share: VarianceTables },
): void {
  const field = grainField(seed, frame, region, taps, mixing)
  const blotches = coarse && coarseField(seed, frame, region, coarse)
  for (let p = 0; p < touched.length; p++) {
    if (touched[p] === 0) continue
    for (let i = 4 * p; i < 4 * p + 3; i++) {
      const c = (i % 4) as 0 | 1 | 2
      const lacks = fround(tableAt(tables[c], data[i]) - variance[i])
      const missing = Number.isNaN(lacks) ? 0 : Math.max(lacks, 0)
      if (coarse === undefined || blotches === undefined) {
        data[i] += fround(fround(Math.sqrt(missing)) * field[i])
        continue
      }
      const share = tableAt(coarse.share[c], data[i])
      const fine = fround(Math.sqrt(fround(missing * fround(1 - share))))
      const wide = fround(Math.sqrt(fround(missing * share)))
      data[i] += fround(fround(fine * field[i]) + fround(wide * blotches[i]))
    }
  }
}
