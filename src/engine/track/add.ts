import { relative, resolve, sep } from 'node:path'
import { Problem } from '../../core/index.js'
import type { Track } from '../../shot/index.js'
import { trackSchema } from '../../shot/index.js'
import type { Shot } from '../../shot/schema.js'
import { canonical } from '../cache/key.js'
import { firstOf, readMotion } from './exchange.js'

/** A track that the document has not yet. */
export interface NewTrack {
  readonly points?: readonly (readonly [number, number])[] | undefined
  readonly region?: readonly (readonly [number, number])[] | undefined
  /** The whole picture. */
  readonly camera?: boolean | undefined
  /** Made elsewhere: a file of points, matrices or angles. */
  readonly file?: string | undefined
  /** How it may move; told from what is seen when absent. */
  readonly motion?: Track['motion']
  /** Frame of the shot on which it is drawn; when absent the first one, or the file's first. */
  readonly reference?: number | undefined
  readonly id?: string | undefined
}

/**
 * A track that a document is to have; the document is not touched, so what cannot be followed leaves no trace in it.
 *
 * @param folder of the document
 * @returns the track; the document's own where one of the same name asks for the same
 * @throws Problem `track.nothing-asked`, `track.region`, `track.name`, `track.taken`, as `readMotion`
 */
export async function newTrack(shot: Shot, folder: string, add: NewTrack): Promise<Track> {
  const made: Pick<NewTrack, 'file' | 'reference'> =
    add.file === undefined ? {} : await madeElsewhere(folder, add.file)
  const track = trackOf(shot, { ...add, ...made, reference: add.reference ?? made.reference })
  return added(shot, track).find((t) => t.id === track.id) as Track
}

/**
 * A document's tracks with this one.
 * @throws Problem `track.taken`
 */
export function added(shot: Shot, track: Track): Track[] {
  const before = shot.tracks.find((t) => t.id === track.id)
  if (before === undefined) return [...shot.tracks, track]
  if (canonical({ ...before, data: undefined }) === canonical({ ...track, data: undefined }))
    return shot.tracks
  throw new Problem({
    code: 'track.taken',
    what: 'Another track has this name',
    where: track.id,
    remedy: 'Choose another name with --id, or change the track in the document.',
  })
}

/** The file as the document names it, and the first frame that it knows. */
async function madeElsewhere(folder: string, file: string): Promise<Pick<NewTrack, 'file' | 'reference'>> {
  const made = await readMotion(resolve(file), file)
  return { file: relative(folder, resolve(file)).split(sep).join('/'), reference: firstOf(made) }
}

function trackOf(shot: Shot, { points, region, camera, file, motion, reference, id }: NewTrack): Track {
  if (points === undefined && region === undefined && camera !== true && file === undefined) {
    throw new Problem({
      code: 'track.nothing-asked',
      what: 'It is not said what the new track follows',
      expected: '--point, --region, --camera or --file beside --frame and --id',
      received: 'none of them',
      remedy: 'For example --region 600,200 980,210 970,540 610,530 --frame 24.',
    })
  }
  if (region !== undefined && region.length < 3) {
    throw new Problem({
      code: 'track.region',
      what: 'A region needs three corners',
      where: '--region',
      expected: 'three places or more',
      received: `${region.length}`,
    })
  }
  const [kind, what] =
    points !== undefined
      ? ['point', { points }]
      : region !== undefined
        ? ['region', { region }]
        : file !== undefined
          ? ['file', { file }]
          : ['camera', {}]
  const named = trackSchema.shape.id.safeParse(id ?? free(shot, kind))
  if (!named.success) {
    throw new Problem({
      code: 'track.name',
      what: 'This cannot be the name of a track',
      where: '--id',
      expected: 'lower-case letters, digits and dashes',
      received: id ?? '',
    })
  }
  const asked = motion === undefined ? {} : { motion }
  const track = trackSchema.safeParse({ id: named.data, reference: reference ?? 0, ...what, ...asked })
  if (track.success) return track.data
  throw new Problem({
    code: 'track.wrong',
    what: 'This track cannot stand in the document',
    where: `--${kind}`,
    faults: track.error.issues.map(({ path, message }) => ({
      code: 'track.wrong',
      what: message,
      where: path.join('.'),
    })),
    remedy: 'Give places in pixels of the plate, and frames of the shot.',
  })
}

function free(shot: Shot, kind: string): string {
  const taken = new Set(shot.tracks.map((t) => t.id))
  for (let n = 1; ; n++) {
    const id = n === 1 ? kind : `${kind}-${n}`
    if (!taken.has(id)) return id
  }
}
