import type { LedgerLine, ShotState } from '../../server/protocol.js'
import type { ShotElement } from '../../shot/schema.js'
import { Act } from '../parts/Act.js'
import { said } from '../parts/said.js'
import { drawPlace } from '../state/view.js'
import { lacksPlace, type Step } from '../top/next.js'
import { type Link, verdictOf } from './telling.js'

interface Props {
  readonly link: Link
  readonly rows: readonly LedgerLine[]
  readonly shot: ShotState
  readonly element: ShotElement
  readonly next: Step | undefined
  readonly open: boolean
  readonly onOpen: () => void
}

/** Why nothing can be told of a link, and what helps. */
export function Reason({ link, rows, shot, element, next, open, onOpen }: Props) {
  const why = rows.find((r) => r.verdict === 'cannot tell' && r.note !== undefined)?.note
  const draw = link === 'light' && lacksPlace(element)
  // What was missing at the fit may have been said since.
  if (verdictOf(rows) !== 'cannot tell' || why === undefined || (shot.staleFit && !draw)) return null
  return (
    <div className="reason">
      <p>{said(why)}.</p>
      {draw ? (
        <Act next={next === 'place'} onPress={() => drawPlace(element, shot.plate)}>
          Draw the place
        </Act>
      ) : (
        (link === 'air' || link === 'lens') &&
        !open && (
          <Act quiet label={`Say what ${link} needs`} onPress={onOpen}>
            Say it
          </Act>
        )
      )}
    </div>
  )
}
