/**
 * What was painted on a steadied picture, put back: an element that stands on the reference frame and goes with the track, so that
 * it alone is drawn anew and the plate keeps its own samples. Its light is the plate's own already: light and air do nothing to it.
 */
import { dirname, relative, resolve, sep } from 'node:path'
import { Problem } from '../../core/index.js'
import { openSource, type SourceInfo } from '../../media/index.js'
import type { Shot, ShotElement } from '../../shot/schema.js'
import { editShot, loadShot } from '../document.js'
import { alphaSaid } from '../ground.js'
import { openPlate } from '../sources.js'
import type { SteadyNote } from './note.js'

export interface Put {
  readonly element: ShotElement
  /** What is to be said to a person. */
  readonly said: readonly string[]
}

/**
 * The element of a patch: a picture, or a sequence whose first one belongs to the first frame that was steadied.
 *
 * @throws Problem `steady.other-track` (it was followed anew), `steady.patch-size`, `steady.no-alpha`, as `openSource`
 */
export async function patchElement(path: string, note: SteadyNote, file: string): Promise<Put> {
  const { shot, folder, path: real } = await loadShot(path)
  checkTrack(shot, note)
  const plate = await infoOf(() => openPlate(shot, folder))
  const { info: patch, opaque } = await lookAtPatch(resolve(file))
  checkPatch(patch, opaque, note, file)
  const { kind, why } = alphaSaid(patch)
  const { num, den } = plate.rate
  const { curve, primaries } = plate.encoding
  const still = patch.frameCount === 1
  const element: ShotElement = {
    id: free(shot, `${note.track}-patch`),
    file: relative(dirname(real), resolve(file)).split(sep).join('/'),
    // Painted in the plate's own code values; floats are light.
    ...(patch.layout.float ? {} : { curve }),
    ...(typeof primaries === 'string' ? { primaries } : {}),
    rate: den === 1 ? `${num}` : `${num}/${den}`,
    alpha: kind,
    nature: 'reflects',
    startFrame: note.frames.first,
    trimFrames: 0,
    position: { x: note.offset[0] + note.width / 2, y: note.offset[1] + note.height / 2 },
    scale: 1,
    follow: { track: note.track, take: 'all' },
    ...(still ? { time: { speed: 1, hold: 'both' } } : {}),
    links: { light: { off: true }, air: { off: true } },
    treatments: {},
  }
  return { element, said: [`Alpha is taken for ${kind}: ${why}.`] }
}

/** Writes it into the document. @throws Problem as `patchElement`, `editShot` */
export async function putBack(path: string, note: SteadyNote, file: string): Promise<Put> {
  const put = await patchElement(path, note, file)
  let there: ShotElement | undefined
  await editShot(path, (now) => {
    there = now.elements.find((e) => isPatch(e, put.element))
    return { ...now, elements: withPatch(now.elements, put.element) }
  })
  if (there === undefined) return put
  const said = `It was put back before, as "${there.id}": that one stands now where the note says, and keeps all else.`
  return { element: { ...there, ...placeOf(put.element) }, said: [...put.said, said] }
}

/** The elements with a patch among them, once: the same file on the same track is the same patch. */
export function withPatch(elements: readonly ShotElement[], patch: ShotElement): ShotElement[] {
  if (!elements.some((e) => isPatch(e, patch))) return [...elements, patch]
  return elements.map((e) => (isPatch(e, patch) ? { ...e, ...placeOf(patch) } : e))
}

function isPatch(e: ShotElement, patch: ShotElement): boolean {
  return e.file === patch.file && e.follow?.track === patch.follow?.track
}

function placeOf({ startFrame, position, scale, follow }: ShotElement) {
  return { startFrame, position, scale, follow }
}

function checkTrack(shot: Shot, note: SteadyNote): void {
  const track = shot.tracks.find((t) => t.id === note.track)
  if (track?.data?.sha256 === note.sha256) return
  throw new Problem({
    code: 'steady.other-track',
    what: 'The picture was steadied by another state of the track: what was painted on it would lie elsewhere',
    where: `tracks.${note.track}`,
    expected: `SHA-256 ${note.sha256}`,
    received: track?.data?.sha256 ?? 'no such track, or not followed',
    remedy: 'Write the steadied picture again and lay the painting over it.',
  })
}

function checkPatch(patch: SourceInfo, opaque: boolean, note: SteadyNote, file: string): void {
  if (patch.width !== note.width || patch.height !== note.height)
    throw new Problem({
      code: 'steady.patch-size',
      what: 'What is put back has the size of the steadied picture',
      where: file,
      expected: `${note.width}×${note.height}`,
      received: `${patch.width}×${patch.height}`,
      remedy: 'Paint on the whole steadied picture, and leave transparent what shall not change.',
    })
  if (!opaque) return
  throw new Problem({
    code: 'steady.no-alpha',
    what: 'Without alpha the whole plate would be covered by what was painted',
    where: file,
    expected: 'an alpha channel, 0 where nothing was painted',
    received: patch.layout.alpha ? 'alpha that is full everywhere' : 'no alpha',
  })
}

/** @returns whether its first picture hides all that lies under it: a palette counts as having alpha, whatever it holds */
async function lookAtPatch(file: string): Promise<{ info: SourceInfo; opaque: boolean }> {
  const source = await openSource(file)
  try {
    const { layout } = source.info
    if (!layout.alpha) return { info: source.info, opaque: true }
    const full = layout.float ? 1 : 2 ** layout.bits - 1
    for await (const { planes } of source.frames(0, 1))
      return { info: source.info, opaque: planes.at(-1)?.data.every((v) => v >= full) ?? true }
    return { info: source.info, opaque: true }
  } finally {
    await source.close()
  }
}

async function infoOf(open: () => ReturnType<typeof openSource>): Promise<SourceInfo> {
  const source = await open()
  await source.close()
  return source.info
}

function free(shot: Shot, base: string): string {
  const taken = new Set(['plate', ...shot.elements.map((e) => e.id)])
  for (let n = 1; ; n++) {
    const id = n === 1 ? base : `${base}-${n}`
    if (!taken.has(id)) return id
  }
}
