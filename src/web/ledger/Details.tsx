import type { LedgerLine, ShotState } from '../../server/protocol.js'
import type { ShotElement } from '../../shot/schema.js'
import { Facts } from './Facts.js'
import { QuantityRow } from './QuantityRow.js'
import type { Link } from './telling.js'

interface Props {
  readonly link: Link
  readonly rows: readonly LedgerLine[]
  readonly shot: ShotState
  readonly element: ShotElement | undefined
  readonly nameOf: (row: LedgerLine) => string
}

/** Everything that is known of a link: each quantity, where it came from, and what a person may say instead. */
export function Details({ link, rows, shot, element, nameOf }: Props) {
  return (
    <>
      <Facts link={link} state={shot} element={element} />
      {rows.length === 0 && <p className="soft">Nothing is known of this link yet. Fit measures it.</p>}
      {rows.map((row) => {
        const name = nameOf(row)
        const owner = row.element === undefined ? shot.shot.plate : element
        const known = owner !== undefined && name in owner.treatments
        return (
          <QuantityRow
            key={`${row.element ?? ''} ${row.quantity}`}
            row={row}
            name={known ? name : undefined}
            target={row.element ?? 'plate'}
          />
        )
      })}
    </>
  )
}
