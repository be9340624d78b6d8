import type { FloatImage } from '../../core/index.js'
import { at, rawImage } from '../wasm/images.js'
import { duringScratch, keepBytes, memory, words } from '../wasm/memory.js'
import { answerOutside, simd } from '../wasm/module.js'
import { CELL_BITS, CELLS, type CurveTables, LOW, type TableEnds, threeOf } from './table.js'

/** Ends of one sign's cells in bytes, up to the next SIMD word. */
const SIDE = 16 * Math.ceil((CELLS + 1) / 4)
/**
 * Bytes from a positive number's entry to that of its negative: so far apart, the sign chooses the cell as the other bits do.
 * In between lie other tables.
 */
const APART = 4 * 2 ** (31 - CELL_BITS)

const kept = new WeakMap<Float32Array, number>()
/** Places that no table has, or none any more. */
const free: number[] = []
const gone = new FinalizationRegistry<number>((address) => free.push(address))

/** Puts R, G and B through their table, in place; alpha stays. NaN stays NaN, infinities keep their sign and size. */
export function applyCurve({ data }: FloatImage, tables: CurveTables): void {
  at(data, true, (address) => duringScratch(() => curveRows(tables)(address, data.length >> 2)))
}

/** The same as a picture of its own. */
export function curved({ region, data }: FloatImage, tables: CurveTables): FloatImage {
  const out = rawImage(region)
  at(data, false, (from) => {
    at(out.data, true, (to) => duringScratch(() => curveRows(tables)(from, data.length >> 2, to)))
  })
  return out
}

/** The same for pixels of the kernels' memory; not beyond the scratch that this is called in. */
export function curveRows(tables: CurveTables): (address: number, pixels: number, out?: number) => void {
  const three = threeOf(tables)
  const [r, g, b] = three.map(tableAddress) as [number, number, number]
  const atZero = words(Float32Array.from(three, (t) => t.atZero))
  return (address, pixels, out = address) => {
    answerOutside((channel, x) => three[channel].fn(x))
    simd.curve(address, pixels, r, g, b, atZero, out)
  }
}

/**
 * Where the table stands in the kernels' memory, as long as anyone has it: the address at which a number with all bits 0 would
 * have its entry, if the table held that.
 */
export function tableAddress({ values }: TableEnds): number {
  const known = kept.get(values)
  if (known !== undefined) return known
  if (free.length === 0) free.push(...morePlaces())
  const address = free.pop() as number
  new Float32Array(memory.buffer, address, CELLS + 1).set(values.subarray(0, CELLS + 1))
  new Float32Array(memory.buffer, address + APART, CELLS + 1).set(values.subarray(CELLS + 1))
  const origin = address - 4 * (LOW >> CELL_BITS)
  kept.set(values, origin)
  gone.register(values, address)
  return origin
}

function morePlaces(): number[] {
  const start = keepBytes(2 * APART)
  return Array.from({ length: Math.floor(APART / SIDE) }, (_, i) => start + SIDE * i)
}
