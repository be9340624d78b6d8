import { Problem, type ProblemDetail } from '../core/index.js'

/** What a command has to say when it is done. */
export interface Outcome {
  /** For a person. */
  readonly text: string
  /** For a machine: the one JSON document on standard output; undefined where it was said already. */
  readonly json: unknown
  /** 1: the work is done, and it found something to mend; 2: part of the input could not be used. Default 0. */
  readonly exit?: 0 | 1 | 2
  /** What went wrong beside the work and did not touch it: said on standard error. */
  readonly notes?: readonly Problem[]
}

/** JSON in which problems are their details. */
export function jsonText(value: unknown): string {
  return `${JSON.stringify(value, (_, v: unknown) => (v instanceof Problem ? v.detail : v), 2)}\n`
}

/** A problem on a few lines: what and where, then what was expected and received, then what to do. */
export function problemText(d: ProblemDetail): string {
  const lines = [d.where === undefined ? d.what : `${d.where}: ${d.what}`]
  if (d.expected !== undefined) lines.push(`  expected ${d.expected}`)
  if (d.received !== undefined) lines.push(`  received ${d.received}`)
  for (const f of d.faults ?? []) lines.push(indented(problemText(f)))
  if (d.remedy !== undefined) lines.push(`  ${d.remedy}`)
  return lines.join('\n')
}

/** Findings as a list; the empty string when there are none. */
export function findingsText(findings: readonly Problem[]): string {
  return findings.map((f) => `note: ${problemText(f.detail)}`).join('\n')
}

function indented(text: string): string {
  return text.replace(/^/gm, '  ')
}
