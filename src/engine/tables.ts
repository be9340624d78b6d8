import { curveOf } from '../colour/index.js'
import type { CurveName } from '../core/index.js'
import { type CurveTable, curveTable } from '../kernels/index.js'

const made = new Map<string, CurveTable>()

/** A curve's table, made once a thread: it takes some 20 ms. */
export function tableOf(curve: CurveName, way: 'decode' | 'encode'): CurveTable {
  const key = `${curve} ${way}`
  const table = made.get(key) ?? curveTable(curveOf(curve)[way])
  made.set(key, table)
  return table
}
