import type { ProblemDetail } from '../../core/index.js'
import { typeset } from '../../report/words.js'
import { Act } from '../parts/Act.js'
import { session } from '../state/session.js'
import { useStore } from '../state/store.js'

/** What went wrong, in a line; nothing when all is well. */
export function Notices() {
  const { here, problem, shot } = useStore(session, (s) => s)
  const failed = shot?.job?.state === 'failed' ? shot.job.problem : undefined
  if (!here)
    return (
      <p className="notice" role="alert">
        <span>
          The server has ended. Start <code>platefit serve</code> again; nothing is lost.
        </span>
      </p>
    )
  const said = problem ?? shot?.problem ?? failed ?? shot?.notKept
  if (said === undefined) return null
  return (
    <p className="notice" role="alert">
      <span>{words(said)}</span>
      {problem !== undefined && (
        <Act quiet onPress={() => session.set({ problem: undefined })}>
          Close
        </Act>
      )}
    </p>
  )
}

function words({ what, where, expected, received, remedy, faults }: ProblemDetail): string {
  const facts = [expected && `expected ${expected}`, received && `received ${received}`]
    .filter(Boolean)
    .join(', ')
  const inner = faults?.map(words).join(' ') ?? ''
  const place = where === undefined || where === '' ? '' : ` (${where})`
  return [`${typeset(what)}${place}${facts === '' ? '' : `: ${facts}`}.`, inner, remedy ?? '']
    .join(' ')
    .trim()
}
