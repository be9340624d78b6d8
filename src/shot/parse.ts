import { Problem, type ProblemDetail } from '../core/index.js'
import { schemaFaults } from './faults.js'
import { shown } from './path.js'
import { ruleFaults } from './rules.js'
import { SHOT_VERSION, type Shot, shotSchema } from './schema.js'

/**
 * A checked shot document from its text or from plain data.
 *
 * @param where the file's name, put before every path in the messages
 * @throws Problem `shot.not-json`, `shot.newer-version`, or the fault itself when there is one; `shot.faults` with all of
 *   them in `detail.faults` when there are several
 */
export function parseShot(input: unknown, where: string): Shot {
  const data = typeof input === 'string' ? readJson(input, where) : input
  refuseNewer(data, where)
  const parsed = shotSchema.safeParse(data)
  if (!parsed.success) throw problemOf(schemaFaults(parsed.error.issues, data), where)
  const faults = ruleFaults(parsed.data)
  if (faults.length > 0) throw problemOf(faults, where)
  return parsed.data
}

function readJson(text: string, where: string): unknown {
  try {
    return JSON.parse(text)
  } catch (e) {
    throw new Problem({
      code: 'shot.not-json',
      what: 'This is not a shot document: its text is not JSON',
      where: placeOf(text, e, where),
      received: e instanceof Error ? e.message : String(e),
      remedy: 'Mend the place named, or write a new document with `platefit new`.',
    })
  }
}

/** `a.shot.json: line 3, column 7` where the engine says at which letter it gave up. */
function placeOf(text: string, e: unknown, where: string): string {
  const at = /position (\d+)/.exec(String(e))?.[1]
  if (at === undefined) return where
  const lines = text.slice(0, Number(at)).split('\n')
  return `${where}: line ${lines.length}, column ${(lines.at(-1)?.length ?? 0) + 1}`
}

function refuseNewer(data: unknown, where: string): void {
  const version = (data as { platefit?: unknown } | null | undefined)?.platefit
  if (typeof version !== 'number' || version <= SHOT_VERSION) return
  throw new Problem({
    code: 'shot.newer-version',
    what: 'This document was written by a newer Platefit',
    where: `${where}: platefit`,
    expected: `at most ${SHOT_VERSION}`,
    received: shown(version),
    remedy: 'Update Platefit to read it.',
  })
}

function problemOf(faults: readonly ProblemDetail[], where: string): Problem {
  const placed = faults.map((f) => ({ ...f, where: f.where ? `${where}: ${f.where}` : where }))
  const [only] = placed
  if (only !== undefined && placed.length === 1) return new Problem(only)
  return new Problem({
    code: 'shot.faults',
    what: `The document has ${placed.length} faults`,
    where,
    faults: placed,
  })
}
