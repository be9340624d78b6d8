/** Tracks of a shot document: followed or read from a file, solved, kept beside it and named in it. */
import { basename } from 'node:path'
import type { Seen } from '../../chain/place/motion/seen.js'
import { warpsIn } from '../../chain/place/motion/warps/judge.js'
import { stepsOf } from '../../chain/place/motion/warps/steps.js'
import { median, Problem } from '../../core/index.js'
import type { Source } from '../../media/index.js'
import { TRACK_VERSION, type Track, type TrackData } from '../../shot/index.js'
import type { Shot } from '../../shot/schema.js'
import { canonical } from '../cache/key.js'
import { editShot, loadShot } from '../document.js'
import { shotRange } from '../plan.js'
import { bendOf } from '../plateSettings.js'
import { tracker } from '../progress.js'
import { openPlate } from '../sources.js'
import type { Job } from '../types.js'
import { added, type NewTrack, newTrack } from './add.js'
import { trackBefore, writeTrack } from './file.js'
import { type Followed, followTracks, type Wanted } from './follow.js'
import { imported } from './imported.js'
import { framesOf, type Part, trackKeys } from './key.js'
import { lensOf, turning } from './lens.js'
import { solveTrack } from './solve.js'

export interface TrackOptions {
  /** Tracks of the document; all when absent. */
  readonly ids?: readonly string[]
  /** A track that the document is to have; it is followed beside those named, alone where none is. */
  readonly add?: NewTrack | undefined
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
  /** The file of what came of it before, where the document names another one now. */
  readonly before?: string
  /** The file that it was made in, elsewhere. */
  readonly fromFile?: string
}

/** Points of a region that are written down: those seen longest. */
const WRITTEN = 40

/**
 * Follows tracks of a document over the plate, reads those that were made elsewhere, and writes what came of them beside it.
 * Nothing else in the document changes; where one cannot be followed nothing does.
 *
 * @throws Problem `track.unknown`, `track.none`, `track.reference`, as `newTrack`, `followTracks`, `imported`, `editShot`, `openSource`
 */
export async function trackShot(path: string, options: TrackOptions = {}, job: Job = {}): Promise<Tracked[]> {
  const { shot: before, folder, path: real } = await loadShot(path)
  const extra = options.add && (await newTrack(before, folder, options.add))
  const shot = extra === undefined ? before : { ...before, tracks: added(before, extra) }
  const ids = extra === undefined ? options.ids : [...(options.ids ?? []), extra.id]
  const asked = askedFor(shot, ids, basename(path))
  const plate = await openPlate(shot, folder)
  try {
    const range = shotRange(shot, plate.info.frameCount)
    const keyOf = await trackKeys(shot, folder, plate.info)
    const parts = asked.map((track) => {
      return { track, frames: framesOf(track, range.count), madeFrom: keyOf(track) }
    })
    const known = await Promise.all(parts.map((p) => trackBefore(p.track, folder)))
    const stale = parts.filter((p, i) => options.again === true || known[i]?.madeFrom !== p.madeFrom)
    const own = stale.filter((p) => p.track.file === undefined)
    const elsewhere = stale.filter((p) => p.track.file !== undefined)
    const made = [
      ...(await Promise.all(elsewhere.map((p) => imported(shot, folder, plate.info, p)))),
      ...(await followed(shot, plate, range.first, own, job)),
    ]
    const clipped = new Map(parts.map((p) => [p.track.id, clippedSaid(p.track, range.count)]))
    const written = new Map<string, Pick<Tracked, 'data' | 'file' | 'sha256'>>()
    for (const one of made) {
      job.signal?.throwIfAborted()
      const data = { ...one, said: [...one.said, ...(clipped.get(one.id) ?? [])] }
      written.set(data.id, { data, ...(await writeTrack(real, data)) })
    }
    if (written.size > 0)
      await editShot(path, (now) => {
        return named(extra === undefined ? now : { ...now, tracks: added(now, extra) }, asked, written)
      })
    return parts.map(({ track }, i) => {
      const now = written.get(track.id)
      const old = { data: known[i] as TrackData, ...(track.data as NonNullable<Track['data']>) }
      const from = track.file === undefined ? {} : { fromFile: track.file }
      const was = track.data?.file
      const before = now === undefined || was === undefined || was === now.file ? {} : { before: was }
      return { id: track.id, ...(now ?? old), kept: now === undefined, ...before, ...from }
    })
  } finally {
    await plate.close()
  }
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
  if (evidence.points.length === 0) throw lostEverywhere(track)
  const solved = solveTrack({ ...evidence, frames }, track.motion, lens, track.region)
  const points = track.points === undefined ? evidence.points.slice(0, WRITTEN) : evidence.points
  return {
    platefitTrack: TRACK_VERSION,
    ...{ id: track.id, madeFrom, plate: { width, height }, reference: track.reference },
    ...solved,
    points: points.map((p) => ({
      from: [...p.from],
      seen: p.seen.map(([frame, x, y, spread]) => [frame, x, y, spread]),
    })) as TrackData['points'],
    jumps: [...(evidence.cuts ?? [])],
    said: [
      ...said,
      ...solved.said,
      ...(whole(track) ? [...fewSaid(solved.frames), ...filmedSaid(evidence, lens, height)] : []),
    ],
  }
}

/** Whether it is of the whole picture, that is of the camera. */
const whole = ({ points, region }: Track) => points === undefined && region === undefined

/** Frames that a document asks for and the shot has not. */
function clippedSaid({ frames }: Track, count: number): readonly string[] {
  if (frames === undefined || frames.first + frames.count <= count) return []
  const [last, there] = [frames.first + frames.count - 1, count - 1]
  return [`Asked for up to frame ${last}: the shot ends at frame ${there}, and so does the track.`]
}

/** Places of the picture that must agree on a camera's motion, and their share of those seen, on half of the frames. Choices. */
const FEW = { places: 15, share: 0.4 }

/** A thing that moves by itself can be all that is followed where the ground holds no texture. */
function fewSaid(frames: TrackData['frames']): readonly string[] {
  const seen = frames.filter((f) => f.state === 'tracked' && f.seen > 0)
  const agree = median(seen.map((f) => f.agree))
  const share = median(seen.map((f) => f.agree / f.seen))
  if (agree >= FEW.places && share >= FEW.share) return []
  return [
    `Few places agree on it (${agree} of each frame, ${Math.round(100 * share)} % of those seen): this may be something that moves by itself and not the camera. Draw a region on what stands still instead.`,
  ]
}

function lostEverywhere({ id, reference }: Track): Problem {
  return new Problem({
    code: 'track.lost-everywhere',
    what: 'Nothing of it is found again on any other frame',
    where: `tracks.${id}`,
    expected: `places that are seen on frame ${reference} and on others`,
    received: 'none',
    remedy:
      'Something may pass before it on the reference frame, or most of it moves by itself: draw round that, or choose another reference frame, a part with more texture, or fewer frames.',
  })
}

/** What was done to the picture beside the camera's turning: rows read one after the other, a stabiliser. */
function filmedSaid({ points }: Followed['evidence'], lens: Seen['lens'], height: number): readonly string[] {
  if (lens === undefined) return []
  return warpsIn(stepsOf(points, lens.middle, height), height, lens.focalPx).said
}

function askedFor(shot: Shot, ids: readonly string[] | undefined, document: string): Track[] {
  const all = shot.tracks
  if (ids === undefined || ids.length === 0) {
    if (all.length > 0) return all
    throw new Problem({
      code: 'track.none',
      what: 'The document asks for no track',
      where: document,
      remedy: 'Add one with --point, --region, --camera or --file.',
    })
  }
  return ids.map((id) => {
    const track = shot.tracks.find((t) => t.id === id)
    const known = shot.tracks.map((t) => t.id).join(', ') || 'no track at all'
    if (track === undefined)
      throw new Problem({
        code: 'track.unknown',
        what: 'No track is called so',
        where: id,
        expected: known,
        remedy: 'Add one with --point, --region, --camera or --file.',
      })
    return track
  })
}

/** The document with the files in it; a track that was changed meanwhile keeps what it has. */
function named(
  now: Shot,
  asked: readonly Track[],
  written: ReadonlyMap<string, Pick<Tracked, 'file' | 'sha256'>>,
): Shot {
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
