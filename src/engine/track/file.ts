/** Files of what came of tracks, in `NAME.tracks/` beside the document. */
import { createHash, randomBytes } from 'node:crypto'
import { mkdir, open, readFile, rename, unlink } from 'node:fs/promises'
import { basename, dirname, join } from 'node:path'
import { Problem } from '../../core/index.js'
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

/** What came of a track before; nothing where it is not there any more, or no longer what the document names. */
export async function readTrack(folder: string, data: Track['data']): Promise<TrackData | undefined> {
  if (data === undefined) return undefined
  try {
    const bytes = await readFile(join(folder, data.file))
    if (createHash('sha256').update(bytes).digest('hex') !== data.sha256) return undefined
    return trackDataSchema.parse(JSON.parse(bytes.toString('utf8')))
  } catch {
    return undefined
  }
}
