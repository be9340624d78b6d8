/**
 * A function of one number as a table, for curves over whole pictures.
 *
 * The table is indexed by the float's own bits: exponent and the first 11 bits of the mantissa choose the cell (2048
 * an octave), the other 12 the place in it, and the answer is the straight line between the cell's ends. The error
 * of the line is x²·f″/(8·2048²): 2e-6 of f for PQ, the steepest curve here (256 an octave would leave 1e-4).
 * Magnitudes from 2⁻²⁴ to 2¹⁶ are tabulated on both sides of 0; what lies outside goes through the function itself.
 *
 * Source: common practice.
 */
import type { FloatImage } from '../../core/index.js'

const CELL_BITS = 12
const LOW = (127 - 24) << 23
const HIGH = (127 + 16) << 23
const CELLS = (HIGH - LOW) >> CELL_BITS
const PART = 2 ** -CELL_BITS
const PART_MASK = (1 << CELL_BITS) - 1

/** A function of one number, tabulated. */
export interface CurveTable {
  readonly fn: (x: number) => number
  /** Ends of the cells of positive numbers, ascending, then those of negative ones, by magnitude. */
  readonly values: Float32Array
  readonly atZero: number
}

/** Tabulates `fn` (about 330,000 calls); `fn` must be continuous away from 0. */
export function curveTable(fn: (x: number) => number): CurveTable {
  const values = new Float32Array(2 * (CELLS + 1))
  const bits = new Uint32Array(1)
  const float = new Float32Array(bits.buffer)
  for (let i = 0; i <= CELLS; i++) {
    bits[0] = LOW + (i << CELL_BITS)
    values[i] = fn(float[0])
    values[CELLS + 1 + i] = fn(-float[0])
  }
  return { fn, values, atZero: fn(0) }
}

/** One table for all channels, or one each for R, G and B. */
export type CurveTables = CurveTable | readonly [CurveTable, CurveTable, CurveTable]

/** Puts R, G and B through their table, in place; alpha stays. NaN stays NaN, infinities keep their sign and size. */
export function applyCurve(image: FloatImage, tables: CurveTables): void {
  const [r, g, b] = 'fn' in tables ? [tables, tables, tables] : tables
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
    return low + (table.values[at + 1] - low) * (word & PART_MASK) * PART
  }
  if (magnitude === 0) return table.atZero
  return magnitude < 0x7f800000 ? table.fn(value) : value
}
