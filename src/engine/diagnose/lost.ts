/** Frames that the file names but does not give: damaged, of another size or layout, missing. */
import type { Problem } from '../../core/index.js'
import type { Finding } from './finding.js'
import { listed } from './runs.js'

const CODE = 'diagnose.frames'
const METHOD = 'index or numbers of the file, and decoding'

export interface Lost {
  readonly frame: number
  readonly problem: Problem
}

const MISSING: ReadonlySet<string> = new Set(['media.file-cut-short', 'media.sequence-hole'])

/** Of what opening a file showed: frames that should be there are not. */
export function isMissing(problem: Problem): boolean {
  return MISSING.has(problem.code)
}

/** @param found what opening the file showed */
export function lostFinding(
  lost: readonly Lost[],
  looked: readonly number[],
  found: readonly Problem[] = [],
): Finding {
  const missing = found.filter(isMissing)
  const problems = [...missing, ...lost.map((l) => l.problem)]
  const first = problems[0]
  if (first === undefined)
    return {
      code: CODE,
      verdict: 'fine',
      sentence: 'Every frame can be read.',
      confidence: 0.9,
      frames: looked,
      method: METHOD,
      numbers: { lost: 0 },
    }
  const frames = lost.map((l) => l.frame)
  const unread = lost[0]
  const sentences = [
    ...missing.map(words),
    ...(unread === undefined
      ? []
      : [
          `${frames.length === 1 ? 'Frame' : 'Frames'} ${listed(frames)} cannot be used: ${words(unread.problem)}`,
        ]),
  ]
  return {
    code: CODE,
    verdict: 'fault',
    sentence: `${sentences.join('. ')}.`,
    remedy: first.detail.remedy ?? 'Copy or export the file again, or keep these frames out of the shot.',
    confidence: 0.95,
    frames: frames.length > 0 ? frames : looked,
    method: METHOD,
    numbers: { lost: frames.length, codes: [...new Set(problems.map((p) => p.code))].join(', ') },
  }
}

function words({ detail: { what, received, expected } }: Problem): string {
  if (received === undefined) return what
  return `${what} (${expected === undefined ? received : `expected ${expected}, received ${received}`})`
}
