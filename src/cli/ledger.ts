import type { LedgerRow } from '../engine/types.js'
import { numbers, table } from './table.js'

/** The ledger as a table: links down; plate, element, treatment, result and verdict across; columns with nothing in them are left out. */
export function ledgerText(rows: readonly LedgerRow[]): string {
  const head = ['link', 'quantity', 'unit', 'element', 'plate', 'own', 'treatment', 'result', 'verdict', '']
  const body = rows.map((r) => [
    r.link,
    r.quantity,
    r.unit,
    r.element ?? '',
    numbers(r.plate),
    numbers(r.source),
    numbers(r.treatment),
    r.resultUnit === undefined ? numbers(r.result) : `${numbers(r.result)} ${r.resultUnit}`,
    r.verdict,
    r.note ?? '',
  ])
  const told = head.map((_, i) => body.some((row) => row[i] !== '' && row[i] !== '–'))
  return table([head, ...body].map((row) => row.filter((_, i) => told[i])))
}
