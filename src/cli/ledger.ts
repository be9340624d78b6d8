import type { LedgerRow } from '../engine/types.js'
import { formatValues } from '../report/format.js'
import { partWords, shownRow } from '../report/quantity.js'
import { evidenceText } from './evidence.js'
import { plain, table } from './table.js'

/** What was measured, the plate's first: whose, link and quantity, value with unit, and where it came from. */
export function measuredText(rows: readonly LedgerRow[]): string {
  return table(
    rows.map(shownRow).map((r) => {
      const value = r.plate ?? r.source ?? r.treatment
      return [
        r.element ?? 'plate',
        r.link,
        [r.quantity, partWords(r)].filter((part) => part !== undefined).join(', '),
        value === undefined ? '–' : plain(formatValues(value, r.unit)),
        r.evidence === undefined
          ? `cannot tell: ${r.note ?? 'no reason is known'}`
          : evidenceText(r.evidence),
      ]
    }),
  )
}
