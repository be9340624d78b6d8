import type { ReactNode } from 'react'
import type { LedgerLine, ShotState } from '../../server/protocol.js'
import type { ShotElement } from '../../shot/schema.js'
import type { Step } from '../top/next.js'
import { Cell } from './Cell.js'
import { Details } from './Details.js'
import { Reason } from './Reason.js'
import { Strength } from './Strength.js'
import { COLUMNS, type Link, telling, treatmentName, verdictOf } from './telling.js'

interface Props {
  readonly link: Link
  readonly shot: ShotState
  readonly element: ShotElement | undefined
  readonly rows: readonly LedgerLine[]
  readonly next: Step | undefined
  readonly open: boolean
  readonly onOpen: () => void
  /** The row's own control, where it has another than strength. */
  readonly children?: ReactNode
}

/** One link: its telling numbers, its one control, and on demand everything that is known of it. */
export function LinkRow({ link, shot, element, rows, next, open, onOpen, children }: Props) {
  const verdict = verdictOf(rows)
  const off = element?.links?.[link as keyof NonNullable<ShotElement['links']>]?.off === true
  const byHand = rows.some((r) => r.evidence?.kind === 'set')
  return (
    <tbody className={`link${off ? ' off' : ''}${open ? ' open' : ''}`}>
      <tr>
        <th scope="row">
          <button type="button" aria-expanded={open} onClick={onOpen}>
            {link}
          </button>
          {byHand && <span className="hand">by hand</span>}
        </th>
        {COLUMNS.map((column) => (
          <td key={column}>
            <Cell row={telling(rows, link, column)} column={column} />
          </td>
        ))}
        <td className={`verdict ${verdict?.replace(' ', '-') ?? ''}`}>
          {verdict === 'not checked' ? '' : verdict}
        </td>
      </tr>
      {element !== undefined && (
        <tr className="control">
          <td colSpan={6}>
            <Reason
              link={link}
              rows={rows}
              shot={shot}
              element={element}
              next={next}
              open={open}
              onOpen={onOpen}
            />
            {children || <Strength link={link} element={element} />}
          </td>
        </tr>
      )}
      {open && (
        <tr className="details">
          <td colSpan={6}>
            <Details link={link} rows={rows} shot={shot} element={element} nameOf={treatmentName} />
          </td>
        </tr>
      )}
    </tbody>
  )
}
