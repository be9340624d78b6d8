/**
 * What a track depends on, as one number: it tells whether what came of a track still belongs to the document and its plate.
 *
 * The ask, and what it stands on: the plate's pixels, its lens, the camera where the motion is a turn. Not the program: what was
 * followed once stays in use when the program is another one, as everything else that a document holds. Not what is only said of
 * the track: how far away it stands, where its numbers come from.
 */
import { createHash } from 'node:crypto'
import { Problem } from '../../core/index.js'
import type { SourceInfo } from '../../media/index.js'
import { TRACK_VERSION, type Track } from '../../shot/index.js'
import type { Shot } from '../../shot/schema.js'
import { sampleOf } from '../cache/content.js'
import { canonical } from '../cache/key.js'
import { shotRange } from '../plan.js'
import { plateSettled } from '../settings.js'

/**
 * SHA-256 by track. The plate is looked at once: what `sampleOf` reads of it.
 *
 * @throws the system's error when the plate cannot be read; the keys, Problem as `framesOf`
 */
export async function trackKeys(
  shot: Shot,
  { path, frameCount }: Pick<SourceInfo, 'path' | 'frameCount'>,
): Promise<(track: Track) => string> {
  const { file: _, still, layer } = shot.plate
  const { focalLengthMm, sensorWidthMm } = shot.camera
  const { first, count } = shotRange(shot, frameCount)
  const stands = {
    version: TRACK_VERSION,
    plate: await sampleOf(path, still === true),
    ...{ layer, first, focalLengthMm, sensorWidthMm },
    distortion: plateSettled(shot, 'lens.distortion'),
  }
  return (track) => {
    const { data: _data, distanceM: _away, ...ask } = track
    const text = canonical({ ...stands, ask, frames: framesOf(track, count) })
    return createHash('sha256').update(text).digest('hex')
  }
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
