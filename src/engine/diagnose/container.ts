/**
 * What opening a file showed beside its pixels, as findings like the others: tags, sizes, clock, turns; frames that are missing
 * are told with those that cannot be read (`lost.ts`), fields by how the picture moves (`fields.ts`).
 *
 * What the file asks for and gets, or a choice that was made for it, is `fine`; what contradicts itself or was passed over is a fault.
 */
import { basename } from 'node:path'
import type { Problem } from '../../core/index.js'
import { isNote, type SourceInfo } from '../../media/index.js'
import type { Finding } from './finding.js'
import { isMissing } from './lost.js'

const METHOD = 'headers and tags of the file'
/** Both follow from reading, not from judging. */
const SURE = 0.95

const names: Readonly<Record<string, string>> = {
  'media.mixed-size': 'sizes',
  'media.uneven-size': 'sizes',
  'media.mirrored': 'turn',
  'media.rotation-oblique': 'turn',
  'media.aperture': 'margin',
  'media.aperture-ignored': 'margin',
  'media.rate-conflict': 'clock',
  'media.timecode-jump': 'clock',
  'media.useless-clock': 'clock',
  'media.several-videos': 'tracks',
  'media.interlaced': 'fields',
}
const FOLLOWED: ReadonlySet<string> = new Set(['media.mirrored', 'media.aperture', 'media.several-videos'])

/** Told by findings of their own: `rate.ts`, and `fields.ts` where the picture moves. */
const ELSEWHERE: ReadonlySet<string> = new Set(['media.variable-rate', 'media.interlaced'])

/** One a thing found on opening. @param fields interlaced pictures are judged by another finding */
export function containerFindings({ findings, path }: SourceInfo, fields: boolean): Finding[] {
  return findings
    .filter((p) => !isNote(p) && !isMissing(p))
    .filter((p) => !ELSEWHERE.has(p.code) || (p.code === 'media.interlaced' && !fields))
    .map((p) => told(names[p.code] ?? 'tags', p, path))
}

/** Of a file that is recognised, but of which no frame can be used. */
export function refusedFinding(problem: Problem, path: string): Finding {
  return told('file', problem, path)
}

function told(name: string, problem: Problem, path: string): Finding {
  const { code, what, where, received, remedy } = problem.detail
  const place = where === undefined || where === path ? undefined : basename(where)
  const facts = [place, received].filter((s) => s !== undefined).join(': ')
  const sentence = `${what}${facts === '' ? '' : ` (${facts})`}.`
  const base = { code: `diagnose.${name}`, confidence: SURE, frames: [], method: METHOD, numbers: { code } }
  if (FOLLOWED.has(code))
    return { ...base, verdict: 'fine', sentence: remedy === undefined ? sentence : `${sentence} ${remedy}` }
  return {
    ...base,
    verdict: 'fault',
    sentence,
    remedy: remedy ?? 'Export it again from the original, or take another file.',
  }
}
