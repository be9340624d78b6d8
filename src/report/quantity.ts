/** The ledger's quantities under the names and units that a person uses who looks at pictures. */
import type { LedgerRow } from '../engine/types.js'

/** By the row's own name; a variance is shown as the deviation that the eye sees, so it is not called one. */
const NAMES: Readonly<Record<string, string>> = {
  'grain variance': 'grain strength',
  'element variance': 'element grain',
  response: "the camera's curve",
}

/** Of quantities whose unit is a bare number. */
const UNITS: Readonly<Record<string, string>> = {
  transmittance: 'share',
  cast: '×',
  'grain correlation': 'of 1',
  'grain mix': 'of 1',
  'grain cross': 'of 1',
  'grain coarse': 'share',
  'grain coarse mix': 'of 1',
}

/** How much of a row's treatment is done, where that is not all of it. */
export function partWords({ strength }: Pick<LedgerRow, 'strength'>): string | undefined {
  if (strength === undefined) return undefined
  return strength === 0 ? 'left out' : `${Math.round(100 * strength)} % done`
}

/** The row as it is shown: numbers as they were, name and unit for a person. */
export function shownRow(r: LedgerRow): LedgerRow {
  const unit = r.unit === '–' ? (UNITS[r.quantity] ?? r.unit) : r.unit
  return { ...r, quantity: NAMES[r.quantity] ?? r.quantity, unit }
}
