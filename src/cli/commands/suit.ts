import { Problem } from '../../core/index.js'
import { suitElements } from '../../engine/suit/suit.js'
import type { KnownFacts, Suited, SuitResult } from '../../engine/suit/types.js'
import { isUnasked } from '../../engine/suit/verdict.js'
import type { Job } from '../../engine/types.js'
import { findingsText, type Outcome, problemText } from '../outcome.js'
import { counted, table } from '../table.js'

export interface SuitOptions {
  readonly plate: string
  readonly sheet?: string
  readonly known: KnownFacts
}

/** Judges elements for a plate; several are ranked. */
export async function suit(elements: readonly string[], o: SuitOptions, job: Job): Promise<Outcome> {
  if (o.sheet !== undefined && !/\.html?$/i.test(o.sheet)) throw wrongName(o.sheet)
  const result = await suitElements({ elements, plate: o.plate, known: o.known }, job)
  if (o.sheet !== undefined) {
    const { writeSheet } = await import('../../report/sheet/write.js')
    await writeSheet(result, o.known, o.sheet, job)
  }
  const bad = result.elements.some((e) => e.verdict === 'poor' || e.verdict === 'unfit')
  return {
    text: textOf(result, o.sheet),
    json: jsonOf(result, o.sheet),
    exit: result.unread.length > 0 ? 2 : bad ? 1 : 0,
  }
}

function textOf(r: SuitResult, sheet: string | undefined): string {
  const [only] = r.elements
  const parts = [
    `${r.plate.path}: ${r.plate.facts}\n  grain ${r.plate.grain}`,
    ...(r.elements.length === 1 && only !== undefined
      ? [one(only, r.seconds)]
      : r.elements.length > 1
        ? [ranked(r)]
        : []),
    ...r.unread.map((u) => problemText({ ...u.problem.detail, where: u.problem.detail.where ?? u.path })),
    findingsText(r.findings),
    sheet === undefined ? '' : `Sheet: ${sheet}`,
  ]
  return parts.filter((p) => p !== '').join('\n\n')
}

function one(e: Suited, seconds: number): string {
  const rows = e.lines.map((l) => [
    `  ${l.name}`,
    l.verdict,
    l.figure,
    l.remedy === undefined ? l.why : `${l.why} → ${l.remedy}`,
  ])
  return `${e.path}: ${e.verdict}, score ${Math.round(e.score)}\n  ${e.facts}${e.said === undefined ? '' : `; ${e.said}`}; looked at ${counted(e.frames.length, 'frame')} in ${seconds.toFixed(1)} s\n${table(rows)}`
}

function ranked({ elements, unread, seconds }: SuitResult): string {
  const rows = elements.map((e, i) => [
    `${i + 1}`.padStart(4),
    String(Math.round(e.score)).padStart(3),
    e.verdict,
    e.path,
    faults(e),
  ])
  const each = seconds / (elements.length + unread.length)
  return `${table([['rank', 'score', 'verdict', 'element', 'what is not fine'], ...rows])}\n\n${counted(elements.length, 'element')}, ${each.toFixed(2)} s each`
}

/** Unfit lines first, then poor ones, then those that cannot be told by name alone. */
function faults({ lines }: Suited): string {
  const told = (['unfit', 'poor'] as const).flatMap((v) =>
    lines.filter((l) => l.verdict === v).map((l) => `${l.name}: ${l.figure}`),
  )
  const open = lines.filter((l) => l.verdict === 'cannot tell' && !isUnasked(l)).map((l) => l.name)
  return [...told, ...(open.length === 0 ? [] : [`cannot tell: ${open.join(', ')}`])].join('; ')
}

function jsonOf(r: SuitResult, sheet: string | undefined) {
  const { path, facts, grain } = r.plate
  return {
    plate: { path, facts, grain },
    elements: r.elements.map(({ thumbnail, laid, ...e }) => e),
    unread: r.unread,
    findings: r.findings,
    seconds: Number(r.seconds.toFixed(2)),
    ...(sheet === undefined ? {} : { sheet }),
  }
}

function wrongName(out: string): Problem {
  return new Problem({
    code: 'cli.value',
    what: 'The sheet is an HTML page',
    where: out,
    expected: 'a name that ends in .html',
  })
}
