import { resolve } from 'node:path'
import { type EncodingTags, type Evidence, Problem } from '../core/index.js'
import type { OpenOptions, Rate, Source } from '../media/index.js'
import { depthOf, matteOf } from '../shot/matte.js'
import { evidenceOf } from '../shot/overrides.js'
import type { Shot } from '../shot/schema.js'
import { openCached } from './cache/frames.js'
import type { Cache } from './cache/store.js'
import { checkDepth } from './depthMap.js'
import { allSources, type ShotSources, shotRange } from './plan.js'
import { withResponse } from './response.js'
import { findTracks } from './tracks.js'

type FileRecord = Pick<
  Shot['plate'],
  'file' | 'curve' | 'primaries' | 'matrix' | 'range' | 'rate' | 'layer' | 'still' | 'evidence'
>

/**
 * Opens every file of a shot.
 *
 * @param cache where frames are kept, for work that looks at a few of them
 * @throws Problem as `openSource`; `shot.range-beyond-plate`, `shot.trim-beyond-file`, `shot.loop-beyond-file` when it asks for frames that are not there; as `checkDepth`
 */
export async function openShot(shot: Shot, folder: string, cache?: Cache): Promise<ShotSources> {
  const opened: Source[] = []
  const open = async (file: FileRecord) => {
    const source = await openRecord(file, folder, cache)
    opened.push(source)
    return source
  }
  try {
    const plate = withResponse(await openPlate(shot, folder, cache), shot)
    opened.push(plate)
    const elements = new Map<string, Source>()
    const holdouts = new Map<string, Source>()
    for (const e of shot.elements) {
      const source = await open(e)
      elements.set(e.id, source)
      checkTrim(e, source)
      checkLoop(e, source)
      const matte = matteOf(e.holdout)
      if (matte === undefined) continue
      const held = await open(matte)
      holdouts.set(e.id, held)
      checkMatte(held, plate, e.id)
    }
    const map = depthOf(shot)
    const depth = map && (await open(map))
    if (map !== undefined && depth !== undefined) await checkDepth(depth, plate, map)
    return {
      ...{ plate, elements, holdouts },
      ...(depth === undefined ? {} : { depth }),
      tracks: await findTracks(shot, folder, plate.info),
    }
  } catch (error) {
    await Promise.all(opened.map((s) => s.close()))
    throw error
  }
}

/**
 * The plate alone. @throws Problem as `openSource`; `shot.range-beyond-plate`
 */
export async function openPlate({ plate, ...shot }: Shot, folder: string, cache?: Cache): Promise<Source> {
  const source = await openRecord(plate, folder, cache)
  const { frameCount } = source.info
  const range = shotRange({ plate, ...shot }, frameCount)
  if (range.first + range.count <= frameCount) return source
  await source.close()
  throw new Problem({
    code: 'shot.range-beyond-plate',
    what: 'The shot asks for frames that the plate does not have',
    where: 'plate.frames',
    expected: `frames within 0 to ${frameCount - 1}`,
    received: `${range.first} to ${range.first + range.count - 1}`,
    remedy: 'Shorten the range, or leave it out to take the whole plate.',
  })
}

/** Trimmed away whole it would show nowhere, and nobody would know why. */
function checkTrim({ id, trimFrames, still }: Shot['elements'][number], { info }: Source): void {
  if (trimFrames === 0 || still === true || trimFrames < info.frameCount) return
  throw new Problem({
    code: 'shot.trim-beyond-file',
    what: `All of "${id}" is trimmed away`,
    where: `elements.${id}.trimFrames`,
    expected: `0 to ${info.frameCount - 1}`,
    received: `${trimFrames}`,
    remedy: 'Trim less.',
  })
}

function checkLoop({ id, time }: Shot['elements'][number], { info }: Source): void {
  const loop = time?.loop
  if (loop === undefined || loop.first + loop.count <= info.frameCount) return
  throw new Problem({
    code: 'shot.loop-beyond-file',
    what: `The loop of "${id}" asks for frames that its file does not have`,
    where: `elements.${id}.time.loop`,
    expected: `frames within 0 to ${info.frameCount - 1}`,
    received: `${loop.first} to ${loop.first + loop.count - 1}`,
    remedy: 'Shorten the loop, or let it begin earlier.',
  })
}

function checkMatte({ info }: Source, { info: plate }: Source, element: string): void {
  if (info.width === plate.width && info.height === plate.height) return
  throw new Problem({
    code: 'place.holdout-size',
    what: 'A holdout has the size of the plate',
    where: `elements.${element}.holdout.file (${info.path})`,
    expected: `${plate.width}×${plate.height}`,
    received: `${info.width}×${info.height}`,
    remedy: 'Draw the matte at the size of the plate.',
  })
}

/** Opens one file that a document names, with what the document says of it and where that comes from. @throws Problem as `openSource` */
export function openRecord(file: FileRecord, folder: string, cache?: Cache): Promise<Source> {
  return openCached(resolve(folder, file.file), overrides(file), cache)
}

/** Everything that is known of a file but where it lies and what was said of it to a person: what is read of it may depend on it. */
export function factsOf({ info }: Source): Omit<Source['info'], 'path' | 'findings'> {
  const { path: _, findings: _said, ...facts } = info
  return facts
}

const OVERRIDES = ['curve', 'primaries', 'matrix', 'range', 'rate'] as const

export async function closeShot(s: ShotSources): Promise<void> {
  await Promise.all(allSources(s).map((x) => x.close()))
}

function overrides(file: FileRecord): OpenOptions {
  const encoding: Partial<Record<keyof EncodingTags, string>> = {}
  if (file.curve !== undefined) encoding.curve = file.curve
  if (file.primaries !== undefined) encoding.primaries = file.primaries
  if (file.matrix !== undefined) encoding.matrix = file.matrix
  if (file.range !== undefined) encoding.range = file.range
  const evidence: Partial<Record<(typeof OVERRIDES)[number], Evidence>> = {}
  for (const name of OVERRIDES) {
    const found = evidenceOf(file, name)
    if (found !== undefined) evidence[name] = found
  }
  const options: OpenOptions & { rate?: Rate; layer?: string; still?: true } = {
    encoding: encoding as Partial<EncodingTags>,
    evidence,
  }
  if (file.layer !== undefined) options.layer = file.layer
  if (file.still === true) options.still = true
  if (file.rate !== undefined) options.rate = parseRate(file.rate)
  return options
}

/** `24` or `24000/1001`; the schema has checked the form. */
export function parseRate(text: string): Rate {
  const [num, den] = text.split('/')
  return { num: Number(num), den: Number(den ?? 1) }
}
