import { dirname, relative, resolve, sep } from 'node:path'
import { Problem } from '../../core/index.js'
import type { Track } from '../../shot/index.js'
import { trackSchema } from '../../shot/index.js'
import type { Shot } from '../../shot/schema.js'
import { canonical } from '../cache/key.js'
import { editShot, loadShot } from '../document.js'
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
 * Adds a track to the document. One of the same name that asks for the same is taken as it is.
 *
 * @returns its name, and the way to take it out again where it was new: what cannot be followed is not to stay
 * @throws Problem `track.nothing-asked`, `track.region`, `track.name`, `track.taken`, as `editShot`, `readMotion`
 */
export async function addTrack(
  path: string,
  add: NewTrack,
): Promise<{ id: string; withdraw: () => Promise<void> }> {
  const { path: real } = await loadShot(path)
  const made: Pick<NewTrack, 'file' | 'reference'> =
    add.file === undefined ? {} : await madeElsewhere(dirname(real), add.file)
  let [id, isNew] = ['', false]
  await editShot(path, (shot) => {
    const track = trackOf(shot, { ...add, ...made, reference: add.reference ?? made.reference })
    id = track.id
    const before = shot.tracks.find((t) => t.id === id)
    isNew = before === undefined
    if (before === undefined) return { ...shot, tracks: [...shot.tracks, track] }
    if (canonical({ ...before, data: undefined }) === canonical(track)) return shot
    throw new Problem({
      code: 'track.taken',
      what: 'Another track has this name',
      where: id,
      remedy: 'Choose another name with --id, or change the track in the document.',
    })
  })
  const withdraw = async () => {
    if (!isNew) return
    await editShot(path, (shot) => ({
      ...shot,
      tracks: shot.tracks.filter((t) => t.id !== id || t.data !== undefined),
    }))
  }
  return { id, withdraw }
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
