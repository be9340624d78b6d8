import { ProgressBar } from 'react-aria-components'
import type { JobState } from '../../server/protocol.js'
import { Act } from '../parts/Act.js'
import { cancelJob } from '../state/acts.js'

const DOING = {
  fit: 'Fitting',
  render: 'Rendering',
  check: 'Checking',
  report: 'Writing the report',
  diagnose: 'Looking',
}
const DONE = {
  fit: 'Fitted',
  render: 'Rendered',
  check: 'Checked',
  report: 'Report written',
  diagnose: 'Looked at',
}

/** What is at work, how far it is, and how it ended. */
export function JobLine({ job, staleFit }: { job: JobState; staleFit: boolean }) {
  const { state, kind, progress, out } = job
  if (state === 'done')
    return (
      <span className="job soft" role="status">
        {kind === 'fit' && staleFit ? 'Changed since the fit' : DONE[kind]}
        {out !== undefined && `: ${out}`}
      </span>
    )
  if (state === 'cancelled')
    return (
      <span className="job soft" role="status">
        Cancelled
      </span>
    )
  if (state === 'failed') return null
  const share = progress === undefined || progress.total === 0 ? 0 : progress.done / progress.total
  return (
    <span className="job">
      <ProgressBar value={share * 100} aria-label={DOING[kind]}>
        <span>{DOING[kind]}</span>
        <span className="bar">
          <i style={{ width: `${share * 100}%` }} />
        </span>
      </ProgressBar>
      {progress !== undefined && (
        <span className="soft">
          {progress.done} of {progress.total}
          {kind === 'render' && progress.framesPerSecond > 0 && `, ${progress.framesPerSecond.toFixed(1)}/s`}
          {progress.done > 0 &&
            progress.secondsLeft >= 1 &&
            Number.isFinite(progress.secondsLeft) &&
            `, ${Math.ceil(progress.secondsLeft)} s left`}
        </span>
      )}
      <Act quiet disabled={state === 'stopping'} onPress={() => void cancelJob()}>
        {state === 'stopping' ? 'Stopping' : 'Cancel'}
      </Act>
    </span>
  )
}
