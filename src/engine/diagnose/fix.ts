/**
 * Writes what a diagnosis suggests into a shot document as measured: overrides of the file's record and an element's alpha kind with
 * their evidence beside them, and measured treatments. What a person set stays: an override without evidence, or with evidence of
 * another value than the one that stands there, and a treatment that was set. What was measured or assumed before is replaced.
 */
import { resolve } from 'node:path'
import { type Evidence, Problem } from '../../core/index.js'
import { samePictures } from '../../media/index.js'
import { evidenceOf, type FileRecord, spokenFor } from '../../shot/overrides.js'
import type { Shot } from '../../shot/schema.js'
import { editShot, loadShot } from '../document.js'
import type { Finding, Suggestion } from './finding.js'

/** Confidence from which a suggestion is written without being asked twice. */
const SURE = 0.6

export interface Fix {
  /** `elements[0].alpha`. */
  readonly path: string
  readonly value: string | readonly number[]
  readonly code: string
  /** Absent when it was written. */
  readonly kept?: string
}

/**
 * @param path the document @param file the diagnosed file: the plate or an element of it
 * @throws Problem `engine.file-not-in-shot`, or as `editShot`
 */
export async function fixShot(path: string, file: string, findings: readonly Finding[]): Promise<Fix[]> {
  const { folder } = await loadShot(path)
  const isIt = (name: string) => samePictures(resolve(folder, name), file)
  let fixes: Fix[] = []
  await editShot(path, async (shot) => {
    const places: string[] = (await isIt(shot.plate.file)) ? ['plate'] : []
    for (const [i, e] of shot.elements.entries()) if (await isIt(e.file)) places.push(`elements[${i}]`)
    if (places.length === 0) throw notThere(path, file, shot)
    const edited = structuredClone(shot)
    fixes = places.flatMap((place) =>
      findings.flatMap((f) => (f.suggestions ?? []).map((s) => apply(edited, place, f, s))),
    )
    return edited
  })
  return fixes
}

function apply(shot: Shot, place: string, finding: Finding, s: Suggestion): Fix {
  const name = 'field' in s ? s.field : `treatments.${s.treatment}`
  const fix: Fix = { path: `${place}.${name}`, value: s.value, code: finding.code }
  const kept = (why: string): Fix => ({ ...fix, kept: why })
  const sure = 'field' in s ? (s.confidence ?? finding.confidence) : finding.confidence
  if (sure < SURE) return kept('not sure enough')
  const element = place === 'plate' ? undefined : shot.elements[Number(/\d+/.exec(place)?.[0])]
  const evidence: Evidence = {
    kind: 'measured',
    frames: [...finding.frames],
    method: finding.method,
    confidence: sure,
  }
  if ('treatment' in s) {
    if (element === undefined) return kept('a plate has no such treatment')
    const treatments = element.treatments as Record<string, unknown>
    const now = treatments[s.treatment] as { evidence?: Evidence } | undefined
    if (isByHand(now?.evidence)) return kept('it was set by hand')
    treatments[s.treatment] = { value: [...s.value], evidence }
    return fix
  }
  if (s.field === 'alpha' && element === undefined) return kept('a plate has no alpha')
  const target = element ?? shot.plate
  const now = (target as FileRecord)[s.field]
  if (now !== undefined && isByHand(evidenceOf(target, s.field) ?? HAND))
    return kept(now === s.value ? 'it stands there by hand already' : `${now} stands there, set by hand`)
  Object.assign(target, {
    [s.field]: s.value,
    evidence: { ...target.evidence, [s.field]: spokenFor(evidence, s.value) },
  })
  return fix
}

const HAND: Evidence = { kind: 'set' }

/** Only what was measured or assumed may be measured anew. */
function isByHand(e: Evidence | undefined): boolean {
  return e !== undefined && e.kind !== 'measured' && e.kind !== 'assumed'
}

function notThere(path: string, file: string, shot: Shot): Problem {
  return new Problem({
    code: 'engine.file-not-in-shot',
    what: 'The shot does not use this file: there is no place for what was found',
    where: path,
    expected: [shot.plate.file, ...shot.elements.map((e) => e.file)].join(', '),
    received: file,
  })
}
