import type { ShotState } from '../../server/protocol.js'
import { Act } from '../parts/Act.js'
import { Choose } from '../parts/Choose.js'
import { leaveShot, openShot, startJob, step } from '../state/acts.js'
import { api } from '../state/api.js'
import { session, shotName } from '../state/session.js'
import { useStore } from '../state/store.js'
import { view } from '../state/view.js'
import { JobLine } from './JobLine.js'
import { nextStep, reportOf } from './next.js'
import { RenderAct } from './RenderAct.js'

const ANOTHER = '\n'

/** The shot, the way back, and the steps of the job. */
export function TopLine({ shot }: { shot: ShotState }) {
  const folder = useStore(session, (s) => s.folder)
  const busy = shot.job?.state === 'running' || shot.job?.state === 'stopping'
  const selected = useStore(view, (v) => v.selected)
  const next = nextStep(shot, selected)
  const render = shot.made.find((m) => m.kind === 'render')?.path
  const report = render === undefined ? undefined : reportOf(shot, render)
  const shots = (folder?.shots ?? [shot.path]).map((s) => [s, shotName(s)] as const)
  return (
    <header className="top">
      <h1>
        <Choose
          label="Shot"
          hideLabel
          value={shot.path}
          options={[...shots, [ANOTHER, 'Begin another shot…']]}
          onChange={(path) => void (path === ANOTHER ? leaveShot() : openShot(path))}
        />
      </h1>
      <Act quiet disabled={!shot.canUndo || busy} onPress={() => void step('undo')}>
        Undo
      </Act>
      <Act quiet disabled={!shot.canRedo || busy} onPress={() => void step('redo')}>
        Redo
      </Act>
      <span className="gap" />
      {shot.job !== undefined && <JobLine job={shot.job} staleFit={shot.staleFit} />}
      <nav aria-label="Steps">
        <Act next={next === 'fit'} disabled={busy} onPress={() => void startJob({ kind: 'fit' })}>
          Fit
        </Act>
        <RenderAct next={next === 'render'} disabled={busy} />
        <Act
          next={next === 'check'}
          disabled={busy || render === undefined}
          onPress={() => render && void startJob({ kind: 'check', rendered: render })}
        >
          Check
        </Act>
        <Act
          next={next === 'report'}
          disabled={busy || render === undefined}
          onPress={() => render && void startJob({ kind: 'report', rendered: render })}
        >
          Report
        </Act>
        {report !== undefined && (
          <a className="made" href={api.file(report)} target="_blank" rel="noreferrer">
            Read the report
          </a>
        )}
      </nav>
    </header>
  )
}
