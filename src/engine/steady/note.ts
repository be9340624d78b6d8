/** What lies beside a steadied picture: where it came from, and where its corner lies on the reference frame. */
import { readFile } from 'node:fs/promises'
import { basename, dirname, join } from 'node:path'
import { z } from 'zod'
import { Problem } from '../../core/index.js'

export const STEADY_VERSION = 1

const size = { width: z.number().int().positive(), height: z.number().int().positive() }

export const steadyNoteSchema = z.strictObject({
  platefitSteady: z.literal(STEADY_VERSION),
  /** Track whose motion is taken out, and the SHA-256 of what came of it. */
  track: z.string(),
  sha256: z.string(),
  reference: z.number().int().nonnegative(),
  /** Of the shot, 0-based. */
  frames: z.strictObject({ first: z.number().int().nonnegative(), count: z.number().int().positive() }),
  plate: z.strictObject(size),
  /** Place of the steadied picture's first corner on the reference frame, px; below 0 where it is larger. */
  offset: z.tuple([z.number().int(), z.number().int()]),
  ...size,
})

export type SteadyNote = z.output<typeof steadyNoteSchema>

/** `fx/still.####.exr`, `fx/still.mov` → `fx/still.steady.json`; a folder's lies beside it. */
export function notePath(out: string): string {
  const stem = basename(out)
    .replace(/\.[a-z0-9]{2,4}$/i, '')
    .replace(/[._-]?(#+|%0?\d*d)$/, '')
  return join(dirname(out), `${stem || 'frames'}.steady.json`)
}

export function noteText(note: SteadyNote): string {
  return `${JSON.stringify(note, undefined, 2)}\n`
}

/** @throws Problem `steady.no-note` */
export async function readNote(path: string): Promise<SteadyNote> {
  try {
    return steadyNoteSchema.parse(JSON.parse(await readFile(path, 'utf8')))
  } catch (e) {
    throw new Problem({
      code: 'steady.no-note',
      what: 'This is not what was written beside a steadied picture',
      where: path,
      received: e instanceof z.ZodError ? (e.issues[0]?.message ?? '') : e instanceof Error ? e.message : '',
      remedy: 'Name the NAME.steady.json that `platefit steady` wrote.',
    })
  }
}
