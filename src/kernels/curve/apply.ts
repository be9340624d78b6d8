import type { FloatImage } from '../../core/index.js'
import { at } from '../wasm/images.js'
import { duringScratch, keepBytes, memory, words } from '../wasm/memory.js'
import { answerOutside, simd } from '../wasm/module.js'
import { type CurveTable, type CurveTables, threeOf } from './table.js'

const kept = new WeakMap<CurveTable, number>()
/** Places of tables that nobody has any more. All are of one size. */
const free: number[] = []
const gone = new FinalizationRegistry<number>((address) => free.push(address))

/** Puts R, G and B through their table, in place; alpha stays. NaN stays NaN, infinities keep their sign and size. */
export function applyCurve({ data }: FloatImage, tables: CurveTables): void {
  at(data, true, (address) => duringScratch(() => curveRows(tables)(address, data.length >> 2)))
}

/** The same for pixels of the kernels' memory; not beyond the scratch that this is called in. */
export function curveRows(tables: CurveTables): (address: number, pixels: number) => void {
  const three = threeOf(tables)
  const [r, g, b] = three.map(tableAddress) as [number, number, number]
  const atZero = words(Float32Array.from(three, (t) => t.atZero))
  return (address, pixels) => {
    answerOutside((channel, x) => three[channel].fn(x))
    simd.curve(address, pixels, r, g, b, atZero)
  }
}

/** Where the table stands in the kernels' memory, as long as anyone has it. */
export function tableAddress(table: CurveTable): number {
  const known = kept.get(table)
  if (known !== undefined) return known
  const address = free.pop() ?? keepBytes(table.values.byteLength)
  new Float32Array(memory.buffer, address, table.values.length).set(table.values)
  kept.set(table, address)
  gone.register(table, address)
  return address
}
