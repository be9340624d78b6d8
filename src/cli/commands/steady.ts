import { resolve } from 'node:path'
import { Problem } from '../../core/index.js'
import { notePath, noteText, readNote } from '../../engine/steady/note.js'
import { putBack } from '../../engine/steady/put.js'
import { steadyShot } from '../../engine/steady/steady.js'
import type { Job } from '../../engine/types.js'
import type { DeliveryFormat } from '../../media/index.js'
import { writeWhole } from '../../report/whole.js'
import { findingsText, type Outcome } from '../outcome.js'
import { counted } from '../table.js'

export interface SteadyArguments {
  readonly track?: string
  readonly out?: string
  readonly format?: DeliveryFormat
  readonly overscan?: true
  readonly frames?: { readonly first: number; readonly count: number }
  readonly put?: string
  readonly note?: string
}

/** Holds the plate still, or puts back what was painted on it. */
export async function steady(path: string, o: SteadyArguments, job: Job): Promise<Outcome> {
  if (o.put !== undefined) return put(path, o.put, o.note)
  const { track, out, format } = o
  if (track === undefined || out === undefined || format === undefined) {
    const missing = Object.entries({ track, out, format }).flatMap(([k, v]) =>
      v === undefined ? [`--${k}`] : [],
    )
    throw new Problem({
      code: 'cli.value',
      what: 'It is not said what is to be written',
      where: missing.join(', '),
      expected: '--track, --out and --format; or --put and --note',
      received: missing.length === 3 ? 'none of them' : `all but ${missing.join(' and ')}`,
      remedy: `platefit steady ${path} --track NAME --out NAME.####.exr --format exr-half`,
    })
  }
  const options = {
    ...{ track, out: resolve(out), format, overscan: o.overscan === true },
    ...(o.frames === undefined ? {} : { frames: o.frames }),
  }
  const { note, lost, findings, said } = await steadyShot(path, options, job)
  const beside = notePath(options.out)
  await writeWhole(beside, Buffer.from(noteText(note)), '--out')
  const { width, height, offset, frames } = note
  const lines = [
    `${out}: ${counted(frames.count, 'frame')}, ${width}×${height}, first corner at ${offset.join(', ')}, ${format}`,
    `what lies where: ${beside}`,
    ...said,
    findingsText(findings),
  ]
  return {
    text: lines.filter((line) => line !== '').join('\n'),
    json: { out: options.out, note: beside, ...note, lost, findings, said },
    exit: lost > 0 ? 1 : 0,
  }
}

async function put(path: string, file: string, note: string | undefined): Promise<Outcome> {
  if (note === undefined)
    throw new Problem({
      code: 'cli.value',
      what: 'It is not said on which steadied picture it was painted',
      expected: '--note NAME.steady.json',
    })
  const { element, said } = await putBack(path, await readNote(note), file)
  return {
    text: [`${element.id}: goes with ${element.follow?.track}, in ${path}`, ...said].join('\n'),
    json: { shot: path, element, said },
  }
}
