/** What is known of the ground before the first frame is keyed: a screen's colour, a clean plate, two backings. */
import type { Areas } from '../../chain/source/screen/areas.js'
import {
  ColourSearch,
  type ScreenColour,
  screenColourAt,
  wallLightAt,
} from '../../chain/source/screen/measure.js'
import { plateRoots } from '../../chain/source/screen/model.js'
import { emptyImage, type FloatImage, Problem, type Reading, told } from '../../core/index.js'
import { openSource, type Source } from '../../media/index.js'
import { spread } from '../samples.js'
import type { Job } from '../types.js'
import { type ByBackings, type ByMatte, type ByScreen, lightOf } from './frame.js'
import { framesOf } from './frames.js'
import type { Ground, KeyedFile, KeyOptions } from './types.js'

/** Frames off which a screen's colour is told. */
const LOOKED = 9
/** Frames of a clean plate of which the mean is taken, at most: its noise is a fifth then. */
const CLEAN = 25

type Frames = KeyedFile['frames']

/** @throws Problem `key.no-screen`, `key.no-such-place`, as `openSource` of the clean plate */
export async function screenOf(
  source: Source,
  frames: Frames,
  { at, wall, clean, cleanFrames, spill }: KeyOptions,
  areas: Areas | undefined,
  job: Job,
): Promise<ByScreen> {
  if (clean !== undefined || cleanFrames !== undefined) {
    const ground = await groundOf(clean ?? source.info.path, source, cleanFrames, job)
    return { kind: 'screen', of: plateRoots(ground), spill }
  }
  if (wall !== undefined) {
    const ground = await groundOf(await plainWallAt(source, frames.first, wall), source, undefined, job)
    return { kind: 'screen', of: plateRoots(ground), spill }
  }
  return { kind: 'screen', of: await colourOf(source, frames, at, areas, job), spill }
}

/** @throws Problem `key.wrong-size`, as `openSource` of the clean plate */
export async function byMatte(
  source: Source,
  { clean, cleanFrames, spill }: KeyOptions,
  job: Job,
): Promise<ByMatte> {
  const known = clean !== undefined || cleanFrames !== undefined
  const ground = known ? await groundOf(clean ?? source.info.path, source, cleanFrames, job) : undefined
  return { kind: 'matte', ground, spill }
}

/** @throws Problem `key.wrong-size`, `key.no-clean`, as `openSource` of the clean plates */
export async function backingsOf(
  source: Source,
  other: Source,
  { first, count }: Frames,
  { clean, cleanFrames }: KeyOptions,
  otherClean: Ground,
  job: Job,
): Promise<ByBackings> {
  sameSize(source, other)
  const last = first + count
  if (other.info.frameCount < last)
    throw new Problem({
      code: 'key.no-such-frames',
      what: 'The second file ends before the first',
      where: other.info.path,
      expected: `${last} frames`,
      received: `${other.info.frameCount}`,
      remedy: 'Ask for the frames that both have (--frames).',
    })
  if (clean === undefined)
    throw new Problem({
      code: 'key.no-clean',
      what: 'Nothing says what the first ground looks like without the element',
      where: '--clean',
      expected: 'a file of it, or its linear light as red,green,blue',
    })
  return {
    kind: 'backings',
    first: await groundOf(clean, source, cleanFrames, job),
    second: await groundOf(otherClean, other, undefined, job),
    encoding: other.info.encoding,
  }
}

/** Mean light of the ground alone. */
async function groundOf(
  ground: Ground,
  like: Source,
  asked: KeyOptions['cleanFrames'],
  { signal }: Job,
): Promise<FloatImage> {
  const { width, height, encoding } = like.info
  const mean = emptyImage({ x: 0, y: 0, width, height })
  if (typeof ground !== 'string') {
    for (let i = 0; i < mean.data.length; i += 4) mean.data.set([...ground, 1], i)
    return mean
  }
  const { curve, primaries, matrix, range } = encoding
  const source = await openSource(ground, { encoding: { curve, primaries, matrix, range } })
  try {
    sameSize(like, source)
    const { first, count } = framesOf(source.info, asked, '--clean-frames')
    const numbers = spread(first, first + count - 1, CLEAN)
    for (const n of numbers) {
      signal?.throwIfAborted()
      for await (const frame of source.frames(n, 1)) {
        const { data } = lightOf(frame, source.info.encoding)
        for (let i = 0; i < data.length; i++) mean.data[i]! += data[i]! / numbers.length
      }
    }
    return mean
  } finally {
    await source.close()
  }
}

function sameSize({ info: a }: Source, { info: b }: Source): void {
  if (a.width === b.width && a.height === b.height) return
  throw new Problem({
    code: 'key.wrong-size',
    what: 'The files do not have one size',
    where: b.path,
    expected: `${a.width}×${a.height}, as ${a.path}`,
    received: `${b.width}×${b.height}`,
  })
}

async function colourOf(
  source: Source,
  { first, count }: Frames,
  at: KeyOptions['at'],
  areas: Areas | undefined,
  job: Job,
): Promise<ScreenColour> {
  if (at !== undefined) refusePlace(source, at, '--at')
  const found =
    at === undefined ? await searched(source, first, count, areas, job) : await shown(source, first, at)
  if (told(found)) return found.value
  throw new Problem({
    code: 'key.no-screen',
    what: 'No screen was found',
    where: source.info.path,
    expected: 'a ground of one saturated colour on most frames',
    received: found.cannotTell,
    remedy:
      'Show a place where only the screen is seen (--at X,Y), or a plain wall without colour (--wall X,Y), or give the ground filmed alone (--clean FILE).',
  })
}

/**
 * Light of a wall at a place that is shown, which stands for a clean plate of one light, unevenly lit.
 *
 * @throws Problem `key.no-such-place`, `key.no-screen`
 */
async function plainWallAt(
  source: Source,
  first: number,
  at: NonNullable<KeyOptions['at']>,
): Promise<readonly [number, number, number]> {
  refusePlace(source, at, '--wall')
  for await (const frame of source.frames(first, 1)) {
    const wall = wallLightAt(lightOf(frame, source.info.encoding), at.x, at.y)
    if (wall !== undefined) return wall
  }
  throw new Problem({
    code: 'key.no-screen',
    what: 'The wall is too dark to tell how it is lit',
    where: '--wall',
    expected: 'a place that shows a wall of some light',
    received: `${at.x}, ${at.y}`,
    remedy: 'Before black an element needs no key: name it with alpha "on-black".',
  })
}

/** @throws Problem `key.no-such-place` */
function refusePlace({ info }: Source, at: NonNullable<KeyOptions['at']>, where: string): void {
  const { width, height } = info
  if (at.x >= 0 && at.y >= 0 && at.x < width && at.y < height) return
  throw new Problem({
    code: 'key.no-such-place',
    what: 'The place lies outside the picture',
    where,
    expected: `0 to ${width - 1}, 0 to ${height - 1}`,
    received: `${at.x}, ${at.y}`,
  })
}

async function searched(
  source: Source,
  first: number,
  count: number,
  areas: Areas | undefined,
  job: Job,
): Promise<Reading<ScreenColour>> {
  const search = new ColourSearch()
  for (const n of spread(first, first + count - 1, LOOKED)) {
    job.signal?.throwIfAborted()
    for await (const frame of source.frames(n, 1)) search.add(lightOf(frame, source.info.encoding), areas)
  }
  return search.found()
}

async function shown(
  source: Source,
  first: number,
  { x, y }: NonNullable<KeyOptions['at']>,
): Promise<Reading<ScreenColour>> {
  for await (const frame of source.frames(first, 1))
    return screenColourAt(lightOf(frame, source.info.encoding), x, y)
  return { cannotTell: 'the frame could not be read' }
}
