/** What came of a shot's tracks: files beside the document, read when the shot is opened and missed where something goes with them. */
import { createHash } from 'node:crypto'
import { readFile } from 'node:fs/promises'
import { resolve } from 'node:path'
import { normalised } from '../chain/place/motion/matrix.js'
import { checkCarried } from '../chain/place/raster/map.js'
import { Problem, type ProblemDetail } from '../core/index.js'
import type { SourceInfo } from '../media/index.js'
import { schemaFaults } from '../shot/faults.js'
import { type Shot, type TrackData, trackDataSchema } from '../shot/index.js'
import { trackKeys } from './track/key.js'

/** What placing needs of it. */
export type KnownTrack = Omit<TrackData, 'points' | 'said' | 'why'>

/** Plain data, by the track's id: what came of it, or why nothing can go with it. */
export type TracksFound = Readonly<Record<string, { track: KnownTrack } | { problem: ProblemDetail }>>

type Ask = Shot['tracks'][number]

/** @throws the system's error when the plate cannot be read */
export async function findTracks(shot: Shot, folder: string, plate: SourceInfo): Promise<TracksFound> {
  if (shot.tracks.length === 0) return {}
  const keyOf = await trackKeys(shot, folder, plate)
  const found = shot.tracks.map(async (ask) => {
    try {
      return [ask.id, { track: await readTrack(ask, folder, plate, keyOf) }] as const
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
    throw new Problem({ code: 'shot.unknown-track', what: `No track is called "${id}"`, where: 'tracks' })
  }
  if ('problem' in found) throw new Problem(found.problem)
  return found.track
}

async function readTrack(
  ask: Ask,
  folder: string,
  plate: SourceInfo,
  keyOf: (ask: Ask) => string,
): Promise<KnownTrack> {
  const { data } = ask
  if (data === undefined) throw problem(ask, 'engine.no-track-data', 'has not been followed yet')
  const bytes = await readFile(resolve(folder, data.file)).catch(() => undefined)
  if (bytes === undefined) {
    throw problem(ask, 'engine.track-missing', `has no file "${data.file}" any more`)
  }
  const digest = createHash('sha256').update(bytes).digest('hex')
  if (digest !== data.sha256) {
    throw problem(ask, 'engine.track-changed', `has another file than was written for it`, {
      expected: `SHA-256 ${data.sha256}`,
      received: digest,
    })
  }
  const { points: _, said: __, why: ___, ...track } = parsed(ask, bytes.toString('utf8'))
  checkFits(ask, track, plate, keyOf(ask))
  for (const f of track.frames) {
    const { mesh } = track
    const matrix = normalised(f.matrix)
    const map = mesh === undefined || f.nodes === undefined ? { matrix } : { matrix, mesh, nodes: f.nodes }
    checkCarried(map, `tracks.${ask.id}, frame ${f.frame}`)
  }
  return track
}

function parsed(ask: Ask, text: string): TrackData {
  let json: unknown
  try {
    json = JSON.parse(text)
  } catch {
    throw problem(ask, 'engine.track-unreadable', 'has a file that is no JSON')
  }
  const result = trackDataSchema.safeParse(json)
  if (result.success) return result.data
  throw problem(ask, 'engine.track-unreadable', 'has a file that holds no track', {
    faults: schemaFaults(result.error.issues, json),
  })
}

/** Whether it is of this plate and of what the document asks for now; the key knows all, the rest says more plainly what differs. */
function checkFits(ask: Ask, track: KnownTrack, plate: SourceInfo, key: string): void {
  const size = (p: { width: number; height: number }) => `${p.width}×${p.height}`
  const nodes = track.mesh && 2 * track.mesh.columns * track.mesh.rows
  const differing = [
    ['id', ask.id, track.id],
    ['reference frame', ask.reference, track.reference],
    ['motion', ask.motion ?? track.motion, track.motion],
    ['plate', size(plate), size(track.plate)],
    ['nodes of the mesh', nodes, track.frames.find((f) => f.nodes?.length !== nodes)?.nodes?.length ?? nodes],
  ].find(([, asked, there]) => asked !== there)
  if (differing === undefined) {
    if (key === track.madeFrom) return
    throw problem(ask, 'engine.track-stale', 'was followed on another plate, or for another ask', {
      expected: `the plate, the lens and what the track asks for (${ask.file === undefined ? '' : 'its file, '}region, points, frames, corrections) as they were`,
      received: 'one of them has changed since',
    })
  }
  const [what, expected, received] = differing
  throw problem(ask, 'engine.track-stale', 'was followed on another plate, or for another ask', {
    expected: `${what} ${expected}`,
    received: String(received),
  })
}

function problem(ask: Ask, code: string, what: string, more: Partial<ProblemDetail> = {}): Problem {
  return new Problem({
    code,
    what: `The track "${ask.id}" ${what}`,
    where: `tracks.${ask.id}`,
    ...more,
    remedy: `Run \`platefit track SHOT ${ask.id}\`.`,
  })
}
