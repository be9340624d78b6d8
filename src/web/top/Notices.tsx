import type { ProblemDetail } from '../../core/index.js'
import { Act } from '../parts/Act.js'
import { said } from '../parts/said.js'
import { session } from '../state/session.js'
import { useStore } from '../state/store.js'

/** What went wrong, a line each; nothing when all is well. */
export function Notices() {
  const { here, problems, shot } = useStore(session, (s) => s)
  const failed = shot?.job?.state === 'failed' ? shot.job.problem : undefined
  if (!here)
    return (
      <p className="notice" role="alert">
        <span>
          The server has ended. Start <code>platefit serve --port {location.port}</code> on the same folder
          and open the address that it says: then this page goes on too, and nothing is lost.
        </span>
      </p>
    )
  const lasting = shot?.problem ?? failed ?? shot?.notKept
  const told = problems.length > 0 || lasting === undefined ? problems : [lasting]
  if (told.length === 0) return null
  return (
    <div className="notice" role="alert">
      <div>
        {told.map((problem) => (
          <p key={`${problem.code} ${problem.where}`}>{words(problem)}</p>
        ))}
      </div>
      {problems.length > 0 && (
        <Act quiet onPress={() => session.set({ problems: [] })}>
          Close
        </Act>
      )}
    </div>
  )
}

function words({ what, where, expected, received, remedy, faults }: ProblemDetail): string {
  const facts = [expected && `expected ${expected}`, received && `received ${received}`]
    .filter(Boolean)
    .join(', ')
  const inner = faults?.map(words).join(' ') ?? ''
  const place = where === undefined || where === '' ? '' : ` (${where})`
  return [said(`${what}${place}${facts === '' ? '' : `: ${facts}`}.`), inner, said(remedy ?? '')]
    .join(' ')
    .trim()
}
