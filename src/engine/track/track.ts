/** Tracks of a shot document: followed, solved, kept beside it and named in it. */
import { basename } from 'node:path'
import type { Seen } from '../../chain/place/motion/seen.js'
import { warpsIn } from '../../chain/place/motion/warps/judge.js'
import { stepsOf } from '../../chain/place/motion/warps/steps.js'
import { Problem } from '../../core/index.js'
import type { Source } from '../../media/index.js'
import { TRACK_VERSION, type Track, type TrackData } from '../../shot/index.js'
import type { Shot } from '../../shot/schema.js'
import { canonical } from '../cache/key.js'
import { editShot, loadShot } from '../document.js'
import { shotRange } from '../plan.js'
import { tracker } from '../progress.js'
import { bendOf } from '../settings.js'
import { openRecord } from '../sources.js'
import type { Job } from '../types.js'
import { readTrack, writeTrack } from './file.js'
import { type Followed, followTracks, type Wanted } from './follow.js'
import { framesOf, trackKeys } from './key.js'
import { lensOf } from './lens.js'
import { solveTrack } from './solve.js'

export interface TrackOptions {
  /** Tracks of the document; all that are followed here when absent. */
  readonly ids?: readonly string[]
  /** Follow them even where nothing they depend on has changed. */
  readonly again?: boolean
}

export interface Tracked {
  readonly id: string
  readonly data: TrackData
  readonly file: string
  readonly sha256: string
  /** Nothing that it depends on had changed: it was not followed again. */
  readonly kept: boolean
}

/** Points of a region that are written down: those seen longest. */
const WRITTEN = 40

/**
 * Follows tracks of a document over the plate, and writes what came of them beside it. Nothing else in the document changes.
 *
 * @throws Problem `track.unknown`, `track.none`, `track.from-file`, `track.reference`, as `followTracks`, `editShot`, `openSource`
 */
export async function trackShot(path: string, options: TrackOptions = {}, job: Job = {}): Promise<Tracked[]> {
  const { shot, folder, path: real } = await loadShot(path)
  const asked = askedFor(shot, options.ids, basename(path))
  const plate = await openRecord(shot.plate, folder)
  try {
    const range = shotRange(shot, plate.info.frameCount)
    const keyOf = await trackKeys(shot, plate.info)
    const parts = asked.map((track) => {
      return { track, frames: framesOf(track, range.count), madeFrom: keyOf(track) }
    })
    const before = await Promise.all(parts.map((p) => readTrack(folder, p.track.data)))
    const stale = parts.filter((p, i) => options.again === true || before[i]?.madeFrom !== p.madeFrom)
    const made = await followed(shot, plate, range.first, stale, job)
    const written = new Map<string, Tracked>()
    for (const data of made) {
      job.signal?.throwIfAborted()
      written.set(data.id, { id: data.id, data, ...(await writeTrack(real, data)), kept: false })
    }
    if (written.size > 0) await editShot(path, (now) => named(now, asked, written))
    return parts.map(({ track }, i) => {
      const data = before[i] as TrackData
      return (
        written.get(track.id) ?? {
          id: track.id,
          data,
          ...(track.data as NonNullable<Track['data']>),
          kept: true,
        }
      )
    })
  } finally {
    await plate.close()
  }
}

interface Part {
  readonly track: Track
  readonly frames: { readonly first: number; readonly count: number }
  readonly madeFrom: string
}

async function followed(
  shot: Shot,
  plate: Source,
  first: number,
  parts: readonly Part[],
  job: Job,
): Promise<TrackData[]> {
  if (parts.length === 0) return []
  const { width, height } = plate.info
  const wanted = parts.map(({ track, frames }): Wanted => {
    const { id, reference, points, region, corrections } = track
    return { id, reference, ...frames, points, region, bends: track.motion === 'mesh', corrections }
  })
  const lens = lensOf(bendOf({ plate: { width, height }, shot }))
  let progress: ((done: number) => void) | undefined
  const found = await followTracks(plate, first, wanted, lens, (done, total) => {
    progress ??= tracker(job, 'track', total)
    progress(done)
  })
  return parts.map((part, i) => dataOf(shot, plate, part, found[i] as Followed))
}

function dataOf(shot: Shot, { info }: Source, { track, frames, madeFrom }: Part, found: Followed): TrackData {
  const { width, height } = info
  const { evidence, said } = found
  const lens = turning(shot, width, height)
  const solved = solveTrack({ ...evidence, frames }, track.motion, lens, track.region)
  const points = track.points === undefined ? evidence.points.slice(0, WRITTEN) : evidence.points
  return {
    platefitTrack: TRACK_VERSION,
    ...{ id: track.id, madeFrom, plate: { width, height }, reference: track.reference },
    ...solved,
    points: points.map((p) => ({
      from: [...p.from],
      seen: p.seen.map((s) => [...s]),
    })) as TrackData['points'],
    jumps: [...(evidence.cuts ?? [])].sort((a, b) => a - b),
    said: [...said, ...solved.said, ...(whole(track) ? filmedSaid(evidence, lens, height) : [])],
  }
}

/** Whether it is of the whole picture, that is of the camera. */
const whole = ({ points, region }: Track) => points === undefined && region === undefined

/** What was done to the picture beside the camera's turning: rows read one after the other, a stabiliser. */
function filmedSaid({ points }: Followed['evidence'], lens: Seen['lens'], height: number): readonly string[] {
  if (lens === undefined) return []
  return warpsIn(stepsOf(points, lens.middle, height), height, lens.focalPx).said
}

/** The lens of a camera that turns: its middle, and its focal length where the document says it. */
function turning({ camera }: Shot, width: number, height: number): Seen['lens'] {
  const { focalLengthMm, sensorWidthMm } = camera
  const middle = [width / 2, height / 2] as const
  if (focalLengthMm === undefined || sensorWidthMm === undefined) return { middle }
  return { middle, focalPx: (focalLengthMm / sensorWidthMm) * width }
}

function askedFor(shot: Shot, ids: readonly string[] | undefined, document: string): Track[] {
  const own = shot.tracks.filter((t) => t.file === undefined)
  if (ids === undefined || ids.length === 0) {
    if (own.length > 0) return own
    throw new Problem({
      code: 'track.none',
      what: 'The document asks for no track',
      where: document,
      remedy: 'Add one with --point, --region or --camera.',
    })
  }
  return ids.map((id) => {
    const track = shot.tracks.find((t) => t.id === id)
    const known = shot.tracks.map((t) => t.id).join(', ') || 'no track at all'
    if (track === undefined)
      throw new Problem({ code: 'track.unknown', what: 'No track is called so', where: id, expected: known })
    if (track.file === undefined) return track
    throw new Problem({
      code: 'track.from-file',
      what: 'This track comes from a file and is not followed here',
      where: id,
      received: track.file,
    })
  })
}

/** The document with the files in it; a track that was changed meanwhile keeps what it has. */
function named(now: Shot, asked: readonly Track[], written: ReadonlyMap<string, Tracked>): Shot {
  const same = (a: Track, b: Track | undefined) =>
    canonical({ ...a, data: undefined }) === canonical({ ...b, data: undefined })
  return {
    ...now,
    tracks: now.tracks.map((t) => {
      const made = written.get(t.id)
      if (
        made === undefined ||
        !same(
          t,
          asked.find((a) => a.id === t.id),
        )
      )
        return t
      return { ...t, data: { file: made.file, sha256: made.sha256 } }
    }),
  }
}
