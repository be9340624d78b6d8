/** The curve's tables on a picture in plain TypeScript: what `simd.ts` must equal to the bit. */
import type { FloatImage } from '../../core/index.js'
import {
  CELL_BITS,
  CELLS,
  type CurveTable,
  type CurveTables,
  HIGH,
  LOW,
  PART,
  PART_MASK,
  threeOf,
} from './table.js'

/** See `apply.ts`. */
export function applyCurve(image: FloatImage, tables: CurveTables): void {
  const [r, g, b] = threeOf(tables)
  const { data } = image
  const bits = new Int32Array(data.buffer, data.byteOffset, data.length)
  for (let i = 0; i < data.length; i += 4) {
    data[i] = through(r, data[i], bits[i])
    data[i + 1] = through(g, data[i + 1], bits[i + 1])
    data[i + 2] = through(b, data[i + 2], bits[i + 2])
  }
}

/** @param word the bits of `value` */
function through(table: CurveTable, value: number, word: number): number {
  const magnitude = word & 0x7fffffff
  if (magnitude >= LOW && magnitude < HIGH) {
    const at = ((magnitude - LOW) >> CELL_BITS) + (word < 0 ? CELLS + 1 : 0)
    const low = table.values[at]
    const rise = Math.fround(table.values[at + 1] - low)
    return low + Math.fround(rise * ((word & PART_MASK) * PART))
  }
  if (magnitude === 0) return table.atZero
  return magnitude < 0x7f800000 ? table.fn(value) : value
}
