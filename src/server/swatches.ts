/** How the colours of the ledger look on the page: seen as its pictures are. */
import type { Rgb } from '../core/index.js'
import type { LedgerRow } from '../engine/types.js'
import type { SourceInfo } from '../media/index.js'
import { plateView } from '../report/view.js'
import type { LedgerLine } from './protocol.js'

const COLUMNS = ['plate', 'source', 'treatment', 'result'] as const

/** @param plate as it was found; without it no colour is known */
export function withSwatches(rows: readonly LedgerRow[], plate: SourceInfo | undefined): LedgerLine[] {
  if (plate === undefined) return [...rows]
  const { colour } = plateView(plate.encoding)
  return rows.map((row) => {
    // What the sensor link measures are amounts of grain, not colours.
    if (row.unit !== 'linear' || row.link === 'sensor') return row
    const swatches = COLUMNS.flatMap((column) => {
      const light = row[column]
      if (light?.length !== 3 || (column === 'result' && row.resultUnit !== undefined)) return []
      return [[column, colour(light as unknown as Rgb).map((v) => Math.round(255 * v))] as const]
    })
    return { ...row, swatches: Object.fromEntries(swatches) }
  })
}
