import type { LedgerRow } from '../engine/types.js'
import { numbers, table } from './table.js'

/** The ledger as a table: links down; plate, element, treatment, result and verdict across. */
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
    numbers(r.result),
    r.verdict,
    r.note ?? '',
  ])
  return table([head, ...body])
}
