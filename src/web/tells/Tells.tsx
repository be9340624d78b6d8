import { useState } from 'react'
import type { ShotState } from '../../server/protocol.js'
import { Act } from '../parts/Act.js'
import { said } from '../parts/said.js'
import { TellLine } from './TellLine.js'

/** The heaviest are shown first. */
const FIRST = 5

/** What would give the effect away in the file that was checked last. */
export function Tells({ shot }: { shot: ShotState }) {
  const [all, setAll] = useState(false)
  const { check } = shot
  const loud = check?.tells.map((tell, index) => ({ tell, index })).filter(({ tell }) => !tell.meant) ?? []
  const meant = check?.tells.map((tell, index) => ({ tell, index })).filter(({ tell }) => tell.meant) ?? []
  const shown = all ? loud : loud.slice(0, FIRST)
  return (
    <section className="tells" aria-label="Tells">
      <h2>
        Tells{' '}
        {check !== undefined && <span className="soft">{loud.length === 0 ? 'none' : loud.length}</span>}
      </h2>
      {check === undefined && (
        <p className="soft">
          Nothing was checked yet. Render the shot, then check it: what would give it away stands here.
        </p>
      )}
      {check !== undefined && (
        <p className="soft">
          {check.rendered}
          {check.older
            ? '; rendered before the last change'
            : !check.stands && '; the shot has changed since'}
        </p>
      )}
      {check !== undefined && loud.length === 0 && (
        <p>
          Nothing was found that would give the effect away
          {check.undecided.length > 0 && `; ${check.undecided.length} could not be judged`}.
        </p>
      )}
      {shown.map(({ tell, index }) => (
        <TellLine key={index} path={shot.path} tell={tell} index={index} />
      ))}
      {loud.length > shown.length && (
        <Act quiet onPress={() => setAll(true)}>
          {loud.length - shown.length} more
        </Act>
      )}
      {meant.length > 0 && (
        <details>
          <summary>{meant.length} meant so</summary>
          {meant.map(({ tell, index }) => (
            <TellLine key={index} path={shot.path} tell={tell} index={index} />
          ))}
        </details>
      )}
      {check !== undefined && check.undecided.length > 0 && (
        <details>
          <summary>{check.undecided.length} could not be judged, and why</summary>
          {check.undecided.map((u) => (
            <p key={`${u.element ?? ''} ${u.tell}`} className="soft">
              {u.element} {u.tell.replaceAll('-', ' ')}: {said(u.why)}.
            </p>
          ))}
        </details>
      )}
    </section>
  )
}
