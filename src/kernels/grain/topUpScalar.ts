/** `topUp.ts` in plain TypeScript: what `simd.ts` must equal to the bit. */
import type { FloatImage } from '../../core/index.js'
import { tableAt } from '../curve/table.js'
import type { Field } from './apply.js'
import { grainField } from './scalar.js'
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
  { seed, frame, taps, mix }: Field,
): void {
  const field = grainField(seed, frame, region, taps, mix)
  for (let p = 0; p < touched.length; p++) {
    if (touched[p] === 0) continue
    for (let i = 4 * p; i < 4 * p + 3; i++) {
      const missing = fround(tableAt(tables[(i % 4) as 0 | 1 | 2], data[i]) - variance[i])
      const deviation = missing > 0 ? fround(Math.sqrt(missing)) : 0
      data[i] += fround(deviation * field[i])
    }
  }
}
