/** Files of tracks that were made elsewhere, and tracks written for elsewhere. */
import { readFile } from 'node:fs/promises'
import { dirname, extname } from 'node:path'
import type { MotionFile } from '../../chain/place/motion/exchange/file.js'
import { readMotionCsv } from '../../chain/place/motion/exchange/readCsv.js'
import { readMotionJson } from '../../chain/place/motion/exchange/readJson.js'
import { matricesCsv, matricesJson } from '../../chain/place/motion/exchange/write.js'
import { Problem } from '../../core/index.js'
import { loadShot } from '../document.js'
import { readTrack } from './file.js'

const KINDS = { '.csv': [readMotionCsv, matricesCsv], '.json': [readMotionJson, matricesJson] } as const

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
  const [read] = kindOf(file)
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
 * A track's matrices as text for a file of this name, digit for digit as they are kept. Frames on which it is lost are left out.
 *
 * @param data what the document says of what came of it
 * @throws Problem `track.file-kind`, `track.export-mesh`, `engine.track-missing`
 */
export async function motionText(
  document: string,
  id: string,
  data: { readonly file: string; readonly sha256: string },
  out: string,
): Promise<string> {
  const [, write] = kindOf(out)
  const { path } = await loadShot(document)
  const track = await readTrack(dirname(path), data)
  if (track === undefined)
    throw new Problem({
      code: 'engine.track-missing',
      what: `The track "${id}" has no file "${data.file}" any more`,
      where: `tracks.${id}`,
      remedy: `Run \`platefit track SHOT ${id} --again\`.`,
    })
  if (track.mesh !== undefined)
    throw new Problem({
      code: 'track.export-mesh',
      what: 'A surface that bends cannot be written as matrices',
      where: `tracks.${id}`,
      expected: 'a track with one matrix a frame',
      received: 'a mesh',
    })
  return write(
    track.frames.filter((f) => f.state !== 'lost'),
    track.plate,
  )
}
