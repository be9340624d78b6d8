/** The next sensible step of the job. */
import type { ShotState } from '../../server/protocol.js'

export type Step = 'fit' | 'render' | 'check' | 'report'

export function nextStep(shot: ShotState): Step | undefined {
  const render = shot.made.find((m) => m.kind === 'render')
  const fitted = shot.shot.elements.every((e) => Object.keys(e.treatments).length > 0)
  if (shot.shot.elements.length === 0) return undefined
  if (!fitted) return 'fit'
  if (render === undefined || render.older === true) return 'render'
  if (shot.check?.rendered !== render.path) return 'check'
  // One that was made elsewhere says not what of: it was checked, and the shot has changed since.
  if (!shot.check.stands) return 'render'
  return reportOf(shot, render.path) === undefined ? 'report' : undefined
}

/** The report of a render: it bears its name. */
export function reportOf(shot: ShotState, render: string): string | undefined {
  const stem = render.replace(/([._-]?#+)?\.[^.]+$/, '')
  return shot.made.find((m) => m.kind === 'report' && m.path.startsWith(stem))?.path
}
