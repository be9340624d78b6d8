import { elementParams, plateParams } from '../../chain/params.js'
import type { Evidence } from '../../core/index.js'
import { editShot, loadShot } from '../../engine/document.js'
import { fitShot } from '../../engine/index.js'
import type { Job } from '../../engine/types.js'
import {
  evidenceOf,
  type FileRecord,
  mergeFit,
  type OverrideName,
  type Shot,
  type Treatment,
} from '../../shot/index.js'
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
  const targets = [
    { id: 'plate', treatments: shot.plate.treatments, record: shot.plate as FileRecord },
    ...shot.elements.map((e) => ({ id: e.id, treatments: e.treatments, record: e as FileRecord })),
  ]
  return table(
    targets.flatMap(({ id, treatments, record }) => [
      ...overrideRows(id, record),
      ...Object.entries(treatments).map(([name, t]) => [
        id,
        name,
        ...cells(t as Treatment, UNITS.get(name) ?? ''),
      ]),
    ]),
  )
}

const OVERRIDES: readonly OverrideName[] = ['range', 'matrix', 'curve', 'primaries', 'rate', 'alpha']

/** What the document says of a file in place of its tags, and where that comes from. */
function overrideRows(id: string, record: FileRecord): string[][] {
  return OVERRIDES.flatMap((name) => {
    const value = record[name]
    if (value === undefined) return []
    return [[id, name, value, '', evidenceText(evidenceOf(record, name) ?? { kind: 'set' })]]
  })
}

function cells(t: Treatment, unit: string): string[] {
  return 'cannotTell' in t
    ? ['–', '', `cannot tell: ${t.cannotTell}`]
    : [numbers(t.value), documentUnit(unit), evidenceText(t.evidence as Evidence)]
}
