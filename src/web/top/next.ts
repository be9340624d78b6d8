/** The next sensible step of the job. */
import type { ShotState } from '../../server/protocol.js'

export type Step = 'fit' | 'render' | 'check' | 'report'

/** @param rendered revision that this visit rendered last */
export function nextStep(shot: ShotState, rendered: string | undefined): Step | undefined {
  const render = shot.made.find((m) => m.kind === 'render')
  const fitted = shot.shot.elements.every((e) => Object.keys(e.treatments).length > 0)
  if (shot.shot.elements.length === 0) return undefined
  if (!fitted) return 'fit'
  if (render === undefined) return 'render'
  if (shot.check?.stands === true && shot.check.rendered === render.path)
    return reportOf(shot, render.path) === undefined ? 'report' : undefined
  const current = rendered === shot.revision || (rendered === undefined && shot.check === undefined)
  return current ? 'check' : 'render'
}

/** The report of a render: it bears its name. */
export function reportOf(shot: ShotState, render: string): string | undefined {
  const stem = render.replace(/([._-]?#+)?\.[^.]+$/, '')
  return shot.made.find((m) => m.kind === 'report' && m.path.startsWith(stem))?.path
}
