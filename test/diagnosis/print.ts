/** The table for a person: a line a fault, a column a strength, and what it adds up to. */
import { STRENGTHS } from './cases.js'
import type { Line, Score } from './score.js'

const STRENGTH_NAMES = ['weak', 'middle', 'strong'] as const
const WIDTH = 34
const COLUMN = 14

export function tableOf(lines: readonly Line[]): string {
  const kinds = [...new Set(lines.map((l) => kindOf(l.name)))]
  const row = (name: string, cells: readonly string[]) =>
    `${name.padEnd(WIDTH)}${cells.map((c) => c.padEnd(COLUMN)).join('')}`.trimEnd()
  return [
    row('fault', STRENGTH_NAMES),
    '-'.repeat(WIDTH + 3 * COLUMN - 3),
    ...kinds.map((kind) =>
      row(
        kind,
        STRENGTHS.map((s) => {
          const line = lines.find((l) => l.name === `${kind}-${s}`)
          return line === undefined ? '' : line.sure ? 'WRONG, SURE' : line.mark
        }),
      ),
    ),
  ].join('\n')
}

export function summaryOf(s: Score): string {
  const of = (n: number, all: number) =>
    `${n} of ${all} (${all === 0 ? '-' : ((100 * n) / all).toFixed(1)} %)`
  return [
    `right         ${of(s.right, s.files)}; aim: 85 % and more`,
    `cannot tell   ${of(s.cannotTell, s.files)}`,
    `wrong         ${of(s.wrong, s.files)}; aim: 3 % at most`,
    `… and sure    ${s.wrongAndSure}; aim: none`,
    `false alarms  ${of(s.falseAlarms, s.cleanFiles)} on clean files; aim: 2 % at most`,
  ].join('\n')
}

function kindOf(name: string): string {
  return name.replace(/-[123]$/, '')
}
