/** What came of a shot's tracks: files beside the document, read when the shot is opened and missed where something goes with them. */
import { normalised } from '../chain/place/motion/matrix.js'
import { checkCarried } from '../chain/place/raster/map.js'
import { Problem, type ProblemDetail } from '../core/index.js'
import type { SourceInfo } from '../media/index.js'
import type { Shot, TrackData } from '../shot/index.js'
import { shotRange } from './plan.js'
import { readTrack, trackProblem } from './track/file.js'
import { framesOf, trackKeys } from './track/key.js'

/** What placing needs of it. */
export type KnownTrack = Omit<TrackData, 'points' | 'said' | 'why'>

/** Plain data, by the track's id: what came of it, or why nothing can go with it. */
export type TracksFound = Readonly<Record<string, { track: KnownTrack } | { problem: ProblemDetail }>>

type Ask = Shot['tracks'][number]

/** @throws the system's error when the plate cannot be read */
export async function findTracks(shot: Shot, folder: string, plate: SourceInfo): Promise<TracksFound> {
  if (shot.tracks.length === 0) return {}
  const keyOf = await trackKeys(shot, folder, plate)
  const { count } = shotRange(shot, plate.frameCount)
  const found = shot.tracks.map(async (ask) => {
    try {
      const track = await knownTrack(ask, folder, { plate, keyOf, count })
      return [ask.id, { track }] as const
    } catch (e) {
      if (e instanceof Problem) return [ask.id, { problem: e.detail }] as const
      throw e
    }
  })
  return Object.fromEntries(await Promise.all(found))
}

/** @throws Problem of why the track cannot be gone with; `shot.unknown-track` */
export function trackOf(tracks: TracksFound, id: string): KnownTrack {
  const found = tracks[id]
  if (found === undefined) {
    const known = Object.keys(tracks).join(', ') || 'no track at all'
    throw new Problem({
      code: 'shot.unknown-track',
      what: `No track is called "${id}"`,
      where: 'tracks',
      expected: known,
    })
  }
  if ('problem' in found) throw new Problem(found.problem)
  return found.track
}

/** What tracks have to fit. */
interface Now {
  readonly plate: SourceInfo
  readonly keyOf: (ask: Ask) => string
  /** Frames of the shot. */
  readonly count: number
}

async function knownTrack(ask: Ask, folder: string, now: Now): Promise<KnownTrack> {
  const { points: _, said: __, why: ___, ...track } = await readTrack(ask, folder)
  checkFits(ask, track, now)
  for (const f of track.frames) {
    const { mesh } = track
    const matrix = normalised(f.matrix)
    const map = mesh === undefined || f.nodes === undefined ? { matrix } : { matrix, mesh, nodes: f.nodes }
    checkCarried(map, `tracks.${ask.id}, frame ${f.frame}`)
  }
  return track
}

/** Whether it is of this plate and of what the document asks for now; the key knows all, the rest says more plainly what differs. */
function checkFits(ask: Ask, track: KnownTrack, { plate, keyOf, count }: Now): void {
  const key = keyOf(ask)
  const asked = framesOf(ask, count)
  const range = (first = 0, last = 0) => `${first} to ${last}`
  const there = range(track.frames[0]?.frame, track.frames.at(-1)?.frame)
  const size = (p: { width: number; height: number }) => `${p.width}×${p.height}`
  const nodes = track.mesh && 2 * track.mesh.columns * track.mesh.rows
  const differing = [
    ['id', ask.id, track.id],
    ['reference frame', ask.reference, track.reference],
    ...(key === track.madeFrom
      ? []
      : [['frames', range(asked.first, asked.first + asked.count - 1), there] as const]),
    ['motion', ask.motion ?? track.motion, track.motion],
    ['plate', size(plate), size(track.plate)],
    ['nodes of the mesh', nodes, track.frames.find((f) => f.nodes?.length !== nodes)?.nodes?.length ?? nodes],
  ].find(([, now, then]) => now !== then)
  if (differing === undefined) {
    if (key === track.madeFrom) return
    throw trackProblem(ask, 'engine.track-stale', 'was followed on another plate, or for another ask', {
      expected: `the plate and its frames, the lens and what the track asks for (${ask.file === undefined ? '' : 'its file, '}region, points, frames, corrections) as they were`,
      received: 'one of them has changed since',
    })
  }
  const [what, expected, received] = differing
  throw trackProblem(ask, 'engine.track-stale', 'was followed on another plate, or for another ask', {
    expected: `${what} ${expected}`,
    received: String(received),
  })
}
