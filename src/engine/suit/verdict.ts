/**
 * From a figure to a verdict and its worth. Figures are such that less is better and 0 is nothing to wish for.
 *
 *   v ≤ fine          fine    worth 1 − 0.1 · v / fine
 *   fine < v ≤ poor   poor    worth 0.9 − 0.4 · (v − fine) / (poor − fine)
 *   v > poor          unfit   worth max(0.5 · poor / v, 0.05)
 *
 * The limits of each line are choices; they stand beside their lines and in what the line says. Source: common practice.
 */
import type { Line, LineName, Verdict } from './types.js'

/** Worth of a line that cannot be told: below everything fine, above most that is poor. */
export const UNKNOWN_WORTH = 0.8

export interface Limits {
  readonly fine: number
  readonly poor: number
}

export function judge(value: number, { fine, poor }: Limits): { verdict: Verdict; worth: number } {
  if (value <= fine) return { verdict: 'fine', worth: 1 - (0.1 * Math.max(value, 0)) / fine }
  if (value <= poor) return { verdict: 'poor', worth: 0.9 - (0.4 * (value - fine)) / (poor - fine) }
  return { verdict: 'unfit', worth: Math.max((0.5 * poor) / value, 0.05) }
}

/** A line without an answer. */
export function cannotTell(name: LineName, why: string, remedy?: string): Line {
  const line = { name, verdict: 'cannot tell', figure: '', why, worth: UNKNOWN_WORTH } as const
  return remedy === undefined ? line : { ...line, remedy }
}

/** A line of which nothing was told for plate or element: it asks, and counts neither for nor against. */
export function unasked(name: LineName, why: string, remedy: string): Line {
  return { name, verdict: 'cannot tell', figure: '', why, remedy, worth: 1 }
}

export function isUnasked(l: Pick<Line, 'verdict' | 'worth'>): boolean {
  return l.verdict === 'cannot tell' && l.worth === 1
}

const ORDER: readonly Verdict[] = ['fine', 'cannot tell', 'poor', 'unfit']

/** The worst of several verdicts; `fine` of none. */
export function worst(verdicts: readonly Verdict[]): Verdict {
  return ORDER[Math.max(0, ...verdicts.map((v) => ORDER.indexOf(v)))] as Verdict
}

/** Two significant digits, or all before the point. */
export function short(value: number): string {
  if (!Number.isFinite(value)) return String(value)
  const digits = Math.abs(value) >= 100 ? 0 : Math.abs(value) >= 10 ? 1 : Math.abs(value) >= 1 ? 2 : undefined
  return String(Number(digits === undefined ? value.toPrecision(2) : value.toFixed(digits)))
}
