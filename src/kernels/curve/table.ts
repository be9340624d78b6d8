/**
 * A function of one number as a table, for curves over whole pictures.
 *
 * The table is indexed by the float's own bits: exponent and the first 11 bits of the mantissa choose the cell (2048
 * an octave), the other 12 the place in it, and the answer is the straight line between the cell's ends. The error
 * of the line is x²·f″/(8·2048²): 2e-6 of f for PQ, the steepest curve here (256 an octave would leave 1e-4).
 * Magnitudes from 2⁻²⁴ to 2¹⁶ are tabulated on both sides of 0; what lies outside goes through the function itself.
 * Arithmetic is in single precision throughout.
 *
 * Source: common practice.
 */

export const CELL_BITS = 12
export const LOW = (127 - 24) << 23
export const HIGH = (127 + 16) << 23
export const CELLS = (HIGH - LOW) >> CELL_BITS
export const PART = 2 ** -CELL_BITS
export const PART_MASK = (1 << CELL_BITS) - 1

const bits = new Int32Array(1)
const float = new Float32Array(bits.buffer)

/** What a table holds: plain data, that another thread can be given. */
export interface TableEnds {
  /** Ends of the cells of positive numbers, ascending, then those of negative ones, by magnitude. */
  readonly values: Float32Array
  readonly atZero: number
}

/** A function of one number, tabulated. */
export interface CurveTable extends TableEnds {
  readonly fn: (x: number) => number
}

export type ThreeEnds = readonly [TableEnds, TableEnds, TableEnds]

/** One table for all channels, or one each for R, G and B. */
export type CurveTables = CurveTable | readonly [CurveTable, CurveTable, CurveTable]

export function threeOf(tables: CurveTables): readonly [CurveTable, CurveTable, CurveTable] {
  return 'fn' in tables ? [tables, tables, tables] : tables
}

/** `ends`: those of this very function, where they are there already. */
export function curveTable(fn: (x: number) => number, ends = tableEnds(fn)): CurveTable {
  return { fn, ...ends }
}

/** Tabulates `fn` (about 330,000 calls); `fn` must be continuous away from 0. */
export function tableEnds(fn: (x: number) => number): TableEnds {
  const values = new Float32Array(2 * (CELLS + 1))
  for (let i = 0; i <= CELLS; i++) {
    bits[0] = LOW + (i << CELL_BITS)
    values[i] = fn(float[0])
    values[CELLS + 1 + i] = fn(-float[0])
  }
  return { values, atZero: fn(0) }
}

/** The table at `x` in single precision; magnitudes beyond it count as its ends. Not for curves that rise there. */
export function tableAt({ values }: CurveTable, x: number): number {
  float[0] = x
  const cell = Math.min(Math.max((bits[0] & 0x7fffffff) - LOW, 0), HIGH - LOW - 1)
  const at = (cell >>> CELL_BITS) + (bits[0] < 0 ? CELLS + 1 : 0)
  const low = values[at]
  const rise = Math.fround(values[at + 1] - low)
  return Math.fround(low + Math.fround(rise * ((cell & PART_MASK) * PART)))
}

const identities = new WeakMap<Float32Array, boolean>()

/** Whether the tables give back what they are given, as those of linear light do: nothing needs to go through them. */
export function isIdentity(tables: CurveTables): boolean {
  return threeOf(tables).every((table) => {
    const known = identities.get(table.values) ?? everyEndStays(table)
    identities.set(table.values, known)
    return known
  })
}

function everyEndStays({ values, atZero }: TableEnds): boolean {
  if (atZero !== 0) return false
  for (let i = 0; i <= CELLS; i++) {
    bits[0] = LOW + (i << CELL_BITS)
    if (values[i] !== float[0] || values[CELLS + 1 + i] !== -float[0]) return false
  }
  return true
}
