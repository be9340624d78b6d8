/**
 * What a track depends on, as one number: it tells whether what came of a track still belongs to the document and its plate.
 *
 * The ask, and what it stands on: the plate's pixels, its lens, the camera where a turn is asked for; of a track that was made
 * elsewhere, the bytes of its file, whatever its name. Not the program: what was
 * followed once stays in use when the program is another one, as everything else that a document holds. Not what is only said of
 * the track: how far away it stands, where its numbers come from.
 */
import { createHash } from 'node:crypto'
import { readFile } from 'node:fs/promises'
import { resolve } from 'node:path'
import { Problem } from '../../core/index.js'
import type { SourceInfo } from '../../media/index.js'
import { rounded, TRACK_VERSION, type Track } from '../../shot/index.js'
import type { Shot } from '../../shot/schema.js'
import { sampleOf } from '../cache/content.js'
import { canonical } from '../cache/key.js'
import { shotRange } from '../plan.js'
import { plateForm, plateSettled } from '../plateSettings.js'
import { fileMissing } from './exchange.js'

/** A track as it is made: over which frames, under which key. */
export interface Part {
  readonly track: Track
  readonly frames: { readonly first: number; readonly count: number }
  readonly madeFrom: string
}

/**
 * SHA-256 by track of the shot. The plate is looked at once: what `sampleOf` reads of it; files of tracks are read whole.
 *
 * @param folder of the document
 * @throws the system's error when the plate cannot be read; the keys, Problem as `framesOf`, `track.file-missing`
 */
export async function trackKeys(
  shot: Shot,
  folder: string,
  { path, frameCount }: Pick<SourceInfo, 'path' | 'frameCount'>,
): Promise<(track: Track) => string> {
  const { file: _, still, layer } = shot.plate
  const { focalLengthMm, sensorWidthMm } = shot.camera
  const { first, count } = shotRange(shot, frameCount)
  const stands = {
    version: TRACK_VERSION,
    plate: await sampleOf(path, still === true),
    ...{ layer, first },
    distortion: plateSettled(shot, 'lens.distortion'),
    distortionForm: plateForm(shot, 'lens.distortion'),
    axis: plateSettled(shot, 'lens.axis'),
  }
  const named = shot.tracks.flatMap((t) => t.file ?? [])
  const files = new Map(
    await Promise.all(named.map(async (file) => [file, await digestOf(resolve(folder, file))] as const)),
  )
  return (track) => {
    const { data: _data, distanceM: _away, file: name, ...rest } = track
    const file = name === undefined ? undefined : files.get(name)
    if (name !== undefined && file === undefined) throw fileMissing(`tracks.${track.id}`, name)
    const ask = { ...rest, file }
    const camera = rest.motion === 'rotation' ? { focalLengthMm, sensorWidthMm } : {}
    const text = canonical(asWritten({ ...stands, ...camera, ask, frames: framesOf(track, count) }))
    return createHash('sha256').update(text).digest('hex')
  }
}

async function digestOf(path: string): Promise<string | undefined> {
  const bytes = await readFile(path).catch(() => undefined)
  return bytes && createHash('sha256').update(bytes).digest('hex')
}

/** Numbers are rounded when the document is written: before and after it is the same ask. */
function asWritten(value: object): unknown {
  return JSON.parse(JSON.stringify(value, (_, v: unknown) => (typeof v === 'number' ? rounded(v) : v)))
}

/**
 * The frames of the shot over which a track is followed.
 *
 * @param count of the shot's frames
 * @throws Problem `track.reference` when none of them are asked for, or its reference frame is not among them
 */
export function framesOf(track: Track, count: number): { first: number; count: number } {
  const asked = track.frames ?? { first: 0, count }
  const last = Math.min(asked.first + asked.count, count) - 1
  const wrong = (what: string, received: number, expected: string) =>
    new Problem({
      remedy:
        track.file === undefined
          ? 'Frames are counted from 0, at the first frame of the shot.'
          : `If ${track.file} numbers the shot's first frame otherwise, say so at its head: "# first frame: N" (CSV) or "firstFrame": N (JSON).`,
      code: 'track.reference',
      what,
      where: `tracks.${track.id}`,
      expected,
      received: `${received}`,
    })
  if (asked.first > last) throw wrong('The frames lie outside the shot', asked.first, `0 to ${count - 1}`)
  if (track.reference < asked.first || track.reference > last)
    throw wrong(
      'The reference frame is none of those that are followed',
      track.reference,
      `${asked.first} to ${last}`,
    )
  return { first: asked.first, count: last - asked.first + 1 }
}
