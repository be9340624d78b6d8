/** The next sensible step of the job. */
import type { ShotState } from '../../server/protocol.js'
import type { ShotElement } from '../../shot/schema.js'

export type Step = 'fit' | 'place' | 'render' | 'check' | 'report'

/** @param inHand id of the element whose ledger is shown */
export function nextStep(shot: ShotState, inHand: string | undefined): Step | undefined {
  if (shot.job?.state === 'running' || shot.job?.state === 'stopping') return undefined
  const render = shot.made.find((m) => m.kind === 'render')
  const fitted = shot.shot.elements.every((e) => Object.keys(e.treatments).length > 0)
  if (shot.shot.elements.length === 0) return undefined
  if (!fitted) return 'fit'
  if (shot.shot.elements.some((e) => e.id === inHand && lacksPlace(e))) return 'place'
  if (shot.staleFit) return 'fit'
  if (render === undefined || render.older === true) return 'render'
  if (shot.check?.rendered !== render.path) return 'check'
  // One that was made elsewhere says not what of: it was checked, and the shot has changed since.
  if (!shot.check.stands) return 'render'
  return reportOf(shot, render.path) === undefined ? 'report' : undefined
}

/** Its light is known and the plate's is not, for want of a place to compare with. */
export function lacksPlace({ compareWith, links, treatments }: ShotElement): boolean {
  const [own, wanted] = [treatments['light.elementMiddle'], treatments['light.plateMiddle']]
  return (
    compareWith === undefined &&
    links?.light?.off !== true &&
    own !== undefined &&
    'value' in own &&
    wanted !== undefined &&
    'cannotTell' in wanted
  )
}

/** The report of a render: it bears its name. */
export function reportOf(shot: ShotState, render: string): string | undefined {
  const stem = render.replace(/([._-]?#+)?\.[^.]+$/, '')
  return shot.made.find((m) => m.kind === 'report' && m.path.startsWith(stem))?.path
}
