import { useState } from 'react'
import type { ShotState } from '../../server/protocol.js'
import { Choice } from '../parts/Choice.js'
import { useStore } from '../state/store.js'
import { view } from '../state/view.js'
import { nextStep } from '../top/next.js'
import { LinkRow } from './LinkRow.js'
import { PlaceRow } from './PlaceRow.js'
import { LINKS, type Link, rowsOf } from './telling.js'

/** The links down; plate, element, treatment, result and verdict across. */
export function Ledger({ shot }: { shot: ShotState }) {
  const [open, setOpen] = useState<Link>()
  const selected = useStore(view, (v) => v.selected)
  const element = shot.shot.elements.find((e) => e.id === selected) ?? shot.shot.elements[0]
  const next = nextStep(shot, element?.id)
  const state = shot.elements.find((e) => e.id === element?.id)
  return (
    <section className="ledger" aria-label="Ledger">
      <header>
        <h2>Ledger</h2>
        {shot.staleFit && (
          <p className="soft stale">Changed since the fit: its numbers are those of before.</p>
        )}
        {shot.elements.length > 1 && element !== undefined && (
          <Choice
            label="Element"
            value={element.id}
            options={shot.elements.map((e) => [e.id, e.id] as const)}
            onChange={(id) => view.set({ selected: id })}
          />
        )}
      </header>
      <table>
        <thead>
          <tr>
            {['Link', 'Plate', 'Element', 'Treatment', 'Result', 'Verdict'].map((name) => (
              <th key={name} scope="col">
                {name}
              </th>
            ))}
          </tr>
        </thead>
        {LINKS.map((link) => (
          <LinkRow
            key={link}
            link={link}
            shot={shot}
            element={element}
            next={next}
            rows={rowsOf(shot.ledger, link, element?.id)}
            open={open === link}
            onOpen={() => setOpen(open === link ? undefined : link)}
          >
            {link === 'place' && element && state && (
              <PlaceRow key={element.id} element={element} state={state} camera={shot.shot.camera} />
            )}
          </LinkRow>
        ))}
      </table>
      {shot.check !== undefined && !shot.check.stands && (
        <p className="soft note">
          {shot.check.older
            ? 'What was checked was rendered before the last change: results and verdicts come with the next render.'
            : 'The shot has changed since the last check: results and verdicts come with the next one.'}
        </p>
      )}
    </section>
  )
}
