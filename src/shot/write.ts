import { type Shot, shotSchema } from './schema.js'

/**
 * The document as text: keys in the schema's order, two spaces a level, lists of plain values on one line, numbers
 * rounded to 7 significant digits, a newline at the end. The same document always gives the same text.
 */
export function shotText(shot: Shot): string {
  return `${written(shotSchema.parse(shot), '')}\n`
}

/** A number as the document holds it. */
export function rounded(value: number): number {
  return Number.isInteger(value) ? value : Number(value.toPrecision(7))
}

function written(value: unknown, indent: string): string {
  if (typeof value === 'number') return String(rounded(value))
  if (typeof value !== 'object' || value === null) return JSON.stringify(value)
  const inner = `${indent}  `
  if (Array.isArray(value)) {
    const plain = value.every((v) => typeof v !== 'object' || v === null)
    const items = value.map((v) => written(v, inner))
    return plain ? `[${items.join(', ')}]` : block('[', items, ']', indent)
  }
  const entries = Object.entries(value).filter(([, v]) => v !== undefined)
  const lines = entries.map(([k, v]) => `${JSON.stringify(k)}: ${written(v, inner)}`)
  return lines.length === 0 ? '{}' : block('{', lines, '}', indent)
}

function block(open: string, lines: readonly string[], close: string, indent: string): string {
  return `${open}\n${lines.map((l) => `${indent}  ${l}`).join(',\n')}\n${indent}${close}`
}
