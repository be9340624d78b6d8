/** Which of a link's quantities stands in its row: the one that tells most, column by column. */
import type { LedgerLine } from '../../server/protocol.js'

export const LINKS = ['source', 'place', 'light', 'air', 'lens', 'shutter', 'sensor', 'display'] as const
export type Link = (typeof LINKS)[number]
export const COLUMNS = ['plate', 'source', 'treatment', 'result'] as const
export type Column = (typeof COLUMNS)[number]

/** First ones first; what is not named comes after, in its own order. */
const FIRST: Readonly<Partial<Record<Link, readonly string[]>>> = {
  light: ['exposure', 'match', 'plate middle', 'element middle', 'temperature'],
  air: ['transmittance', 'airlight'],
  sensor: ['element variance'],
}
/** Lists over many levels say nothing in a cell, nor do numbers that only the render needs. */
const MOST = 3
const NEVER: readonly string[] = [
  'grain mix',
  'grain cross',
  'grain coarse mix',
  'grain correlation',
  'aberration',
  'distortion',
  'axis',
]

/** Rows of a link for one element: its own, and those of the plate that all share. */
export function rowsOf(ledger: readonly LedgerLine[], link: Link, element: string | undefined): LedgerLine[] {
  return ledger.filter((r) => r.link === link && (r.element === undefined || r.element === element))
}

export function telling(rows: readonly LedgerLine[], link: Link, column: Column): LedgerLine | undefined {
  const first = FIRST[link] ?? []
  const rank = (r: LedgerLine) => (first.includes(r.quantity) ? first.indexOf(r.quantity) : first.length)
  return rows
    .filter((r) => r[column] !== undefined && (r[column]?.length ?? 0) <= MOST && !NEVER.includes(r.quantity))
    .sort((a, b) => rank(a) - rank(b))[0]
}

const WORST: readonly LedgerLine['verdict'][] = ['tell', 'fits', 'cannot tell', 'not checked']

export function verdictOf(rows: readonly LedgerLine[]): LedgerLine['verdict'] | undefined {
  return WORST.find((v) => rows.some((r) => r.verdict === v))
}

/** The document's name of a row's treatment: `light`, `plate middle` → `light.plateMiddle`. */
export function treatmentName({ link, quantity }: LedgerLine): string {
  return `${link}.${quantity.replace(/ (\w)/g, (_, c: string) => c.toUpperCase())}`
}
