import { useState } from 'react'
import type { ElementState, PlateState } from '../../server/protocol.js'
import { Act } from '../parts/Act.js'
import { said } from '../parts/said.js'
import { edit } from '../state/acts.js'
import { FaultLine } from './FaultLine.js'
import { assumedWords, TakenFor } from './TakenFor.js'

interface Props {
  readonly part: string
  readonly state: PlateState | ElementState
  readonly removable?: boolean
}

/** One line of what a file is; below it what is wrong with it. */
export function FileLine({ part, state, removable = false }: Props) {
  const { file, facts, taken, faults, problem } = state
  const [saying, setSaying] = useState(false)
  const assumed = assumedWords(taken)
  return (
    <div className="file">
      <p>
        <b>{part}</b>{' '}
        <span className="name" title={file}>
          {file}
        </span>
        {taken.length > 0 && (
          <Act quiet label={`What ${part} is taken for`} expanded={saying} onPress={() => setSaying(!saying)}>
            {saying ? 'Close' : 'Change'}
          </Act>
        )}
        {removable && (
          <Act
            quiet
            label={`Take ${part} out of the shot`}
            onPress={() => void edit({ kind: 'removeElement', element: part })}
          >
            Take out
          </Act>
        )}
      </p>
      <p className="soft facts-line">{facts}</p>
      {assumed !== '' && <p className="soft facts-line">{assumed}</p>}
      {saying && <TakenFor target={part} taken={taken} />}
      {problem !== undefined && (
        <p className="fault">
          {said(problem.what)}. {problem.remedy !== undefined && said(problem.remedy)}
        </p>
      )}
      {faults === undefined && problem === undefined && <p className="soft">Being looked at…</p>}
      {faults?.map((f) => (
        <FaultLine key={f.code} fault={f} />
      ))}
    </div>
  )
}
