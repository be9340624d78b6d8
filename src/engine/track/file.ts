/** Files of what came of tracks, in `NAME.tracks/` beside the document. */
import { createHash, randomBytes } from 'node:crypto'
import { mkdir, open, readFile, rename, unlink } from 'node:fs/promises'
import { basename, dirname, join, resolve } from 'node:path'
import { Problem, type ProblemDetail } from '../../core/index.js'
import { schemaFaults } from '../../shot/faults.js'
import { type Track, type TrackData, trackDataSchema } from '../../shot/index.js'

/** Digits behind the point of what is written: a thousandth of a pixel and less. */
const DIGITS = 5

/** Text of the data; the same data give the same text. */
function textOf(data: TrackData): string {
  const rounded = (_: string, v: unknown) =>
    typeof v === 'number' && !Number.isInteger(v) ? Number(v.toPrecision(DIGITS + 4)) : v
  const { frames, points, ...head } = trackDataSchema.parse(data)
  const lines = (list: readonly unknown[]) =>
    list.map((one) => `    ${JSON.stringify(one, rounded)}`).join(',\n')
  const first = JSON.stringify(head, rounded, 2).slice(0, -2)
  return `${first},\n  "frames": [\n${lines(frames)}\n  ],\n  "points": [\n${lines(points)}\n  ]\n}\n`
}

/**
 * Writes what came of a track, whole or not at all, under a name that its content decides.
 *
 * @param document absolute path of the shot document
 * @returns what the document says of it
 * @throws Problem `track.unwritable`
 */
export async function writeTrack(document: string, data: TrackData): Promise<NonNullable<Track['data']>> {
  const text = textOf(data)
  const sha256 = createHash('sha256').update(text).digest('hex')
  const folder = `${basename(document).replace(/(\.shot)?\.json$/, '')}.tracks`
  const file = `${folder}/${data.id}-${sha256.slice(0, 8)}.json`
  const path = join(dirname(document), file)
  const draft = `${path}.${randomBytes(4).toString('hex')}.partial`
  try {
    await mkdir(dirname(path), { recursive: true })
    const handle = await open(draft, 'wx')
    try {
      await handle.writeFile(text)
      await handle.sync()
    } finally {
      await handle.close()
    }
    await rename(draft, path)
  } catch (e) {
    await unlink(draft).catch(() => {})
    throw new Problem({
      code: 'track.unwritable',
      what: 'What came of the track cannot be written',
      where: path,
      received: e instanceof Error ? e.message : String(e),
      exit: 3,
    })
  }
  return { file, sha256 }
}

type Ask = Pick<Track, 'id' | 'data'>

/**
 * What came of a track, from the file that the document names.
 *
 * @param folder of the document
 * @throws Problem `engine.no-track-data`, `engine.track-missing`, `engine.track-changed` where it is not what the document names,
 *   `engine.track-unreadable`
 */
export async function readTrack(ask: Ask, folder: string): Promise<TrackData> {
  const { data } = ask
  if (data === undefined) throw trackProblem(ask, 'engine.no-track-data', 'has not been followed yet')
  const bytes = await readFile(resolve(folder, data.file)).catch(() => undefined)
  if (bytes === undefined)
    throw trackProblem(ask, 'engine.track-missing', `has no file "${data.file}" any more`)
  const digest = createHash('sha256').update(bytes).digest('hex')
  if (digest !== data.sha256)
    throw trackProblem(ask, 'engine.track-changed', `has another file than was written for it`, {
      expected: `SHA-256 ${data.sha256}`,
      received: digest,
    })
  let json: unknown
  try {
    json = JSON.parse(bytes.toString('utf8'))
  } catch {
    throw trackProblem(ask, 'engine.track-unreadable', 'has a file that is no JSON')
  }
  const result = trackDataSchema.safeParse(json)
  if (result.success) return result.data
  throw trackProblem(ask, 'engine.track-unreadable', 'has a file that holds no track', {
    faults: schemaFaults(result.error.issues, json),
  })
}

/** The same; nothing where it cannot be read. */
export function trackBefore(ask: Ask, folder: string): Promise<TrackData | undefined> {
  return readTrack(ask, folder).catch((e: unknown) => {
    if (e instanceof Problem) return undefined
    throw e
  })
}

export function trackProblem(
  { id }: Ask,
  code: string,
  what: string,
  more: Partial<ProblemDetail> = {},
): Problem {
  return new Problem({
    code,
    what: `The track "${id}" ${what}`,
    where: `tracks.${id}`,
    ...more,
    remedy: `Run \`platefit track SHOT ${id}\`.`,
  })
}
