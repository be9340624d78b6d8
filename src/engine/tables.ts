import { curveOf } from '../colour/curves/index.js'
import { channelCurves } from '../colour/response/encoding.js'
import type { ColourEncoding, CurveName } from '../core/index.js'
import {
  type CurveTable,
  type CurveTables,
  curveTable,
  type TableEnds,
  type ThreeEnds,
  tableEnds,
} from '../kernels/index.js'
import { Ready } from './recent.js'

type Way = 'decode' | 'encode'

/** Some 20 ms each to make. */
const named = new Ready<TableEnds>('curves', 32)
const measured = new Ready<ThreeEnds>('responses', 8)

/** A named curve's table. */
export function tableOf(curve: CurveName, way: Way): CurveTable {
  const fn = curveOf(curve)[way]
  return curveTable(
    fn,
    named.get([curve, way], () => tableEnds(fn)),
  )
}

/** The tables of an encoding: those of the camera's measured curve, else of the named one. */
export function tablesOf(encoding: Pick<ColourEncoding, 'curve' | 'response'>, way: Way): CurveTables {
  const { curve, response } = encoding
  if (response === undefined) return tableOf(curve, way)
  const [r, g, b] = channelCurves(encoding)
  const ends = measured.get([curve, way, response], () => [
    tableEnds(r[way]),
    tableEnds(g[way]),
    tableEnds(b[way]),
  ])
  return [curveTable(r[way], ends[0]), curveTable(g[way], ends[1]), curveTable(b[way], ends[2])]
}
