import { basename } from 'node:path'
import { newShot } from '../../engine/first.js'
import { findingsText, type Outcome } from '../outcome.js'
import { counted, table } from '../table.js'

export interface NewOptions {
  readonly plate: string
  readonly element?: readonly string[]
  readonly out?: string
}

/** Writes a first document and says every guess in it. */
export async function create(options: NewOptions): Promise<Outcome> {
  const out = options.out ?? `${stem(options.plate)}.shot.json`
  const made = await newShot({ plate: options.plate, elements: options.element ?? [], out })
  const rows = made.assumptions.map((a) => [`  ${a.where}`, a.value, a.why])
  const guesses = rows.length === 0 ? [] : ['', 'Assumed, for you to confirm in the document:', table(rows)]
  const notes = findingsText(made.findings)
  return {
    text: [
      `${out}: ${counted(made.shot.elements.length, 'element')}`,
      ...guesses,
      ...(notes === '' ? [] : ['', notes]),
      '',
      `Next: platefit fit ${out}`,
    ].join('\n'),
    json: { document: out, shot: made.shot, assumptions: made.assumptions, findings: made.findings },
  }
}

/** `plates/shore.####.exr` → `shore`. */
function stem(path: string): string {
  const name = basename(path).replace(/\.[^.]+$/, '')
  return name.replace(/[._-]?(#+|%0?\d*d|\d{3,})$/, '') || 'shot'
}
