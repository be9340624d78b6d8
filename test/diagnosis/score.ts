/** Runs the program over made files and holds what it says against what was done to them. */
import { mkdtemp, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { diagnoseFile, type Finding } from '../../src/engine/diagnose/index.js'
import type { Case } from './cases.js'

export type Mark = 'right' | 'wrong' | 'cannot tell'

export interface Line {
  readonly name: string
  readonly mark: Mark
  /** Wrong with a confidence of 0.8 and more. */
  readonly sure: boolean
  /** What the program said of the fault, and faults that are none. */
  readonly said: readonly string[]
}

export interface Score {
  readonly files: number
  readonly right: number
  readonly wrong: number
  readonly cannotTell: number
  readonly wrongAndSure: number
  /** Clean files of which a fault was told. */
  readonly falseAlarms: number
  readonly cleanFiles: number
}

/** Makes each file in a folder of its own, which is removed again, and judges it. */
export async function linesOf(
  cases: readonly Case[],
  tell: (line: Line) => void = () => {},
): Promise<Line[]> {
  const lines: Line[] = []
  for (const c of cases) {
    const folder = await mkdtemp(join(tmpdir(), 'platefit-diagnosis-'))
    try {
      const { findings } = await diagnoseFile(await c.make(folder))
      const line = judge(c, findings)
      lines.push(line)
      tell(line)
    } finally {
      await rm(folder, { recursive: true, force: true })
    }
  }
  return lines
}

function judge(c: Case, findings: readonly Finding[]): Line {
  const { fault } = c
  const words = (f: Finding) => `${f.verdict} ${f.code} ${f.confidence}: ${f.sentence}`
  const others = findings.filter(
    (f) => f.verdict === 'fault' && f.code !== fault?.code && fault?.also.includes(f.code) !== true,
  )
  const own = findings.find((f) => f.code === fault?.code)
  const hit = own?.verdict === 'fault' && fault?.says.test(own.sentence) === true
  const silent = own === undefined || own.verdict === 'cannot tell'
  const miss = fault === undefined || hit || silent ? [] : [own]
  const bad = [...others, ...miss]
  return {
    name: c.name,
    mark: bad.length > 0 ? 'wrong' : fault === undefined || hit ? 'right' : 'cannot tell',
    sure: bad.some((f) => f.confidence >= 0.8),
    said: (bad.length > 0 ? bad : own === undefined ? [] : [own]).map(words),
  }
}

export function scoreOf(faulty: readonly Line[], clean: readonly Line[]): Score {
  const count = (mark: Mark) => faulty.filter((l) => l.mark === mark).length
  return {
    files: faulty.length,
    right: count('right'),
    wrong: count('wrong'),
    cannotTell: count('cannot tell'),
    wrongAndSure: faulty.filter((l) => l.mark === 'wrong' && l.sure).length,
    falseAlarms: clean.filter((l) => l.mark === 'wrong').length,
    cleanFiles: clean.length,
  }
}
