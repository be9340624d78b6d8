import { FileTrigger } from 'react-aria-components'
import type { ShotState } from '../../server/protocol.js'
import { Act } from '../parts/Act.js'
import { Choose } from '../parts/Choose.js'
import { bringFiles } from '../start/bring.js'
import { addElement } from '../state/acts.js'
import { attempt, session } from '../state/session.js'
import { useStore } from '../state/store.js'
import { FileLine } from './FileLine.js'

/** What the shot is made of, and what is wrong with it. */
export function Files({ shot }: { shot: ShotState }) {
  const media = useStore(session, (s) => s.folder)?.media ?? []
  const all = [shot.plate, ...shot.elements]
  const faults = all.reduce((sum, f) => sum + (f.faults?.length ?? 0) + (f.problem === undefined ? 0 : 1), 0)
  return (
    <section className="files" aria-label="Files">
      <header>
        <h2>
          Files{' '}
          {faults > 0 && <span className="soft">{faults === 1 ? 'one fault' : `${faults} faults`}</span>}
        </h2>
        <p className="acts">
          <FileTrigger allowsMultiple onSelect={(files) => void bringFiles([...(files ?? [])])}>
            <Act quiet onPress={() => {}}>
              Add an element…
            </Act>
          </FileTrigger>
          <Choose
            label="Add from the folder"
            hideLabel
            placeholder="or from the folder"
            value={undefined}
            options={media.map((m) => [m.path, m.path] as const)}
            onChange={(path) => void attempt(() => addElement(path))}
          />
        </p>
      </header>
      <div className="list-of-files">
        <FileLine part="plate" state={shot.plate} />
        {shot.elements.map((e) => (
          <FileLine key={e.id} part={e.id} state={e} removable />
        ))}
      </div>
    </section>
  )
}
