/** Frames that the file names but does not give: damaged, of another size or layout, missing. */
import type { Problem } from '../../core/index.js'
import type { Finding } from './finding.js'
import { listed } from './runs.js'

const CODE = 'diagnose.frames'
const METHOD = 'decoding'

export interface Lost {
  readonly frame: number
  readonly problem: Problem
}

export function lostFinding(lost: readonly Lost[], looked: readonly number[]): Finding {
  const frames = lost.map((l) => l.frame)
  const first = lost[0]
  if (first === undefined)
    return {
      code: CODE,
      verdict: 'fine',
      sentence: 'Every frame looked at can be read.',
      confidence: 0.9,
      frames: looked,
      method: METHOD,
      numbers: { lost: 0 },
    }
  const { what, received, remedy } = first.problem.detail
  const why = received === undefined ? what : `${what} (${received})`
  return {
    code: CODE,
    verdict: 'fault',
    sentence: `${frames.length === 1 ? 'Frame' : 'Frames'} ${listed(frames)} cannot be used: ${why}.`,
    remedy: remedy ?? 'Copy or export the file again, or keep these frames out of the shot.',
    confidence: 0.95,
    frames,
    method: METHOD,
    numbers: { lost: frames.length, codes: [...new Set(lost.map((l) => l.problem.code))].join(', ') },
  }
}
