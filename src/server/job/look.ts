/** A shot's files looked at unasked: their faults in a sentence each, with what was done about it or could be. */
import { resolve } from 'node:path'
import {
  diagnoseFile,
  type Finding,
  type Fix,
  fixShot,
  type Suggestion,
} from '../../engine/diagnose/index.js'
import { loadShot } from '../../engine/document.js'
import type { Job } from '../../engine/types.js'
import type { Edit, Shot } from '../../shot/index.js'
import type { Fault } from '../protocol.js'

type Record_ = Shot['plate'] | Shot['elements'][number]

/**
 * Every fault that something can be written about has both edits: the one that writes it and the one that takes it back.
 *
 * @param targets `plate` and ids of elements; what is sure is written into the document where `fix` says so
 */
export async function lookAtFiles(
  document: string,
  targets: readonly string[],
  fix: boolean,
  job: Job,
): Promise<Record<string, readonly Fault[]>> {
  const { shot, folder } = await loadShot(document)
  const { signal, onProgress } = job
  const faults: Record<string, readonly Fault[]> = {}
  for (const target of targets) {
    signal?.throwIfAborted()
    const record = recordOf(shot, target)
    if (record === undefined) continue
    const file = resolve(folder, record.file)
    const { findings } = await diagnoseFile(file, {
      ...(record.layer === undefined ? {} : { layer: record.layer }),
      ...(record.still === true ? { still: true } : {}),
      ...(signal && { signal }),
      ...(onProgress && { onProgress }),
    })
    const wrong = findings.filter((f) => f.verdict === 'fault')
    const fixes = fix ? await fixShot(document, file, wrong) : []
    faults[target] = wrong.map((f) => faultOf(f, target, record, fixes))
  }
  return faults
}

function recordOf(shot: Shot, target: string): Record_ | undefined {
  return target === 'plate' ? shot.plate : shot.elements.find((e) => e.id === target)
}

function faultOf(
  f: Finding & { verdict: 'fault' },
  target: string,
  before: Record_,
  fixes: readonly Fix[],
): Fault {
  const said = { code: f.code, sentence: f.sentence, remedy: f.remedy }
  const written = fixes.filter((x) => x.code === f.code && x.kept === undefined)
  const all = f.suggestions ?? []
  const suggestion = all.find((s) => written.some((w) => w.path.endsWith(nameOf(s)))) ?? all[0]
  if (suggestion === undefined) return said
  const was = valueIn(before, suggestion)
  if (same(was, suggestion.value)) return said
  const what = words(suggestion)
  return {
    ...said,
    done: { what, undo: editOf(target, suggestion, was) },
    offer: { what, edit: editOf(target, suggestion, suggestion.value) },
  }
}

const nameOf = (s: Suggestion) => ('field' in s ? s.field : s.treatment)
const words = (s: Suggestion) => ('field' in s ? `${s.field}: ${s.value}` : `${s.treatment}: measured`)
const same = (a: unknown, b: unknown) => JSON.stringify(a) === JSON.stringify(b)

function valueIn(record: Record_, s: Suggestion): string | readonly number[] | null {
  if ('field' in s) return ((record as Record<string, unknown>)[s.field] as string | undefined) ?? null
  const t = (record.treatments as Record<string, { value?: number[] } | undefined>)[s.treatment]
  return t?.value ?? null
}

function editOf(target: string, s: Suggestion, value: string | readonly number[] | null): Edit {
  return 'field' in s
    ? { kind: 'override', target, field: s.field, value: value as string | null }
    : { kind: 'treatment', target, name: s.treatment, value: value as number[] | null }
}
