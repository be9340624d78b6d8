/** Faults of a file as the document stands: what was written about one may have been undone since, and made again. */
import type { Edit, Shot } from '../shot/index.js'
import type { Fault } from './protocol.js'

/** Of both edits the one that would change something. */
export function faultsNow(faults: readonly Fault[], shot: Shot): readonly Fault[] {
  return faults.map(({ done, offer, ...said }) => {
    if (done === undefined || offer === undefined) return said
    return stands(offer.edit, shot) ? { ...said, done } : { ...said, offer }
  })
}

function stands(edit: Edit, shot: Shot): boolean {
  if (edit.kind !== 'override' && edit.kind !== 'treatment') return false
  const record = edit.target === 'plate' ? shot.plate : shot.elements.find((e) => e.id === edit.target)
  if (edit.kind === 'override') return record?.[edit.field as keyof typeof record] === edit.value
  const treatment = (record?.treatments as Record<string, { value?: number[] }> | undefined)?.[edit.name]
  return JSON.stringify(treatment?.value) === JSON.stringify(edit.value)
}
