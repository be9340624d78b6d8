/** Files of tracks that were made elsewhere, and tracks written for elsewhere. */
import { readFile } from 'node:fs/promises'
import { dirname, extname } from 'node:path'
import type { MotionFile, NamedPoint } from '../../chain/place/motion/exchange/file.js'
import { readMotionCsv } from '../../chain/place/motion/exchange/readCsv.js'
import { readMotionJson } from '../../chain/place/motion/exchange/readJson.js'
import { matricesCsv, matricesJson, pointsCsv, pointsJson } from '../../chain/place/motion/exchange/write.js'
import { Problem } from '../../core/index.js'
import type { Track, TrackData } from '../../shot/index.js'
import { loadShot } from '../document.js'
import { readTrack } from './file.js'

const KINDS = {
  '.csv': { read: readMotionCsv, matrices: matricesCsv, points: pointsCsv },
  '.json': { read: readMotionJson, matrices: matricesJson, points: pointsJson },
} as const

/**
 * How a file of this name is read and written.
 *
 * @throws Problem `track.file-kind`
 */
export function kindOf(file: string): (typeof KINDS)[keyof typeof KINDS] {
  const ending = extname(file).toLowerCase()
  if (ending === '.csv' || ending === '.json') return KINDS[ending]
  throw new Problem({
    code: 'track.file-kind',
    what: 'Files of this kind hold no track',
    where: file,
    expected: 'a name that ends in .csv or .json',
    received: ending === '' ? 'no ending' : ending,
  })
}

/**
 * What such a file holds, in pixels of the picture that it was made on.
 *
 * @param file its name, for messages
 * @throws Problem `track.file-kind`, `track.file-missing`, `place.motion-file` with the line or entry
 */
export async function readMotion(path: string, file: string): Promise<MotionFile> {
  const { read } = kindOf(file)
  const text = await readFile(path, 'utf8').catch(() => undefined)
  if (text === undefined) throw fileMissing(file, file)
  return read(text, file)
}

/** The first frame of the shot of which a file says something. */
export function firstOf(file: MotionFile): number {
  if (file.kind === 'points') return Math.min(...file.points.map((p) => p.seen[0]?.[0] ?? 0))
  return (file.kind === 'matrices' ? file.matrices : file.angles)[0]?.frame ?? 0
}

export function fileMissing(where: string, file: string): Problem {
  return new Problem({
    code: 'track.file-missing',
    what: 'The file that the track was made in cannot be read',
    where,
    received: file,
    remedy: 'Look at its name and folder: --file names it from here, `tracks[].file` from the document.',
  })
}

/**
 * A track's matrices, or its points, as text for a file of this name, digit for digit as they are kept. Of matrices, frames on which
 * it is lost are left out, and those that were bridged are named.
 *
 * @param data what the document says of what came of it
 * @throws Problem `track.file-kind`, `track.export-mesh`, `track.export-points`, as `readTrack`
 */
export async function motionText(
  document: string,
  track: Pick<Track, 'id' | 'data'>,
  what: 'matrices' | 'points',
  out: string,
): Promise<string> {
  const write = kindOf(out)
  const { path } = await loadShot(document)
  const data = await readTrack(track, dirname(path))
  const refused = (code: string, why: string, expected: string, received: string) =>
    new Problem({ code, what: why, where: `tracks.${track.id}`, expected, received })
  if (what === 'points') {
    if (data.points.length > 0) return write.points(data.points.map(seenOf(data.reference)), data.plate)
    throw refused('track.export-points', 'It has no points', 'a track that was made of points', 'none')
  }
  if (data.mesh === undefined)
    return write.matrices(
      data.frames.filter((f) => f.state !== 'lost'),
      data.plate,
    )
  const why = 'A surface that bends cannot be written as matrices'
  throw refused('track.export-mesh', why, 'a track with one matrix a frame, or its points', 'a mesh')
}

/** Where a point was seen; on the reference frame it was where it stands there, if it was seen beside it. */
function seenOf(reference: number) {
  return ({ from, seen }: TrackData['points'][number], i: number): NamedPoint => {
    const places = seen.map(([frame, x, y]) => [frame, x, y] as const)
    const there = !seen.some(([f]) => f === reference) && seen.some(([f]) => Math.abs(f - reference) === 1)
    const all = there ? [...places, [reference, from[0], from[1]] as const] : places
    return { name: `point ${i + 1}`, seen: all.toSorted((a, b) => a[0] - b[0]) }
  }
}
