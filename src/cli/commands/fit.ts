import { elementParams, plateParams } from '../../chain/params.js'
import type { Evidence } from '../../core/index.js'
import { editShot, loadShot } from '../../engine/document.js'
import { fitShot } from '../../engine/index.js'
import type { Job } from '../../engine/types.js'
import { mergeFit, type Shot, type Treatment } from '../../shot/index.js'
import { evidenceText } from '../evidence.js'
import { findingsText, type Outcome } from '../outcome.js'
import { documentUnit, numbers, table } from '../table.js'

const UNITS = new Map([...plateParams, ...elementParams].map((p) => [p.name, p.unit]))

/** Derives the treatments and merges them into the document as it then is. */
export async function fit(path: string, job: Job): Promise<Outcome> {
  const { shot, folder } = await loadShot(path)
  const { shot: fitted, findings } = await fitShot(shot, folder, job)
  const written = await editShot(path, (now) => mergeFit(now, fitted))
  const notes = findingsText(findings)
  return {
    text: [treatmentsText(written), ...(notes === '' ? [] : ['', notes])].join('\n'),
    json: { document: path, shot: written, findings },
  }
}

function treatmentsText(shot: Shot): string {
  const targets = [{ id: 'plate', treatments: shot.plate.treatments }, ...shot.elements]
  return table(
    targets.flatMap(({ id, treatments }) =>
      Object.entries(treatments).map(([name, t]) => [
        id,
        name,
        ...cells(t as Treatment, UNITS.get(name) ?? ''),
      ]),
    ),
  )
}

function cells(t: Treatment, unit: string): string[] {
  return 'cannotTell' in t
    ? ['–', '', `cannot tell: ${t.cannotTell}`]
    : [numbers(t.value), documentUnit(unit), evidenceText(t.evidence as Evidence)]
}
