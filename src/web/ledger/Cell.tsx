import { formatBare, unitWords } from '../../report/format.js'
import { shownRow } from '../../report/quantity.js'
import type { LedgerLine } from '../../server/protocol.js'
import type { Column } from './telling.js'

/** What the finished file shows of a treatment, where that has another name. */
const RESULTS: Readonly<Record<string, string>> = {
  match: 'off the plate',
  transmittance: 'haze',
  'blur radius': 'edge width',
}

/** A number of the ledger, with what it is above it. */
export function Cell({ row, column }: { row: LedgerLine | undefined; column: Column }) {
  if (row === undefined) return null
  const shown = shownRow(row)
  const unit = column === 'result' ? (row.resultUnit ?? shown.unit) : shown.unit
  const values = row[column] ?? []
  // The same light three times is one number.
  const same =
    values.length === 3 &&
    values.every((v) => formatBare([v], unit) === formatBare([values[0] as number], unit))
  return (
    <span className="cell" title={row.meaning}>
      <i>
        {row.swatches?.[column] !== undefined && (
          <span className="swatch" style={{ background: `rgb(${row.swatches[column].join()})` }} />
        )}
        {column === 'result' ? (RESULTS[row.quantity] ?? shown.quantity) : shown.quantity}
      </i>
      <b>{formatBare(same ? values.slice(0, 1) : values, unit)}</b> <small>{unitWords(unit)}</small>
    </span>
  )
}
