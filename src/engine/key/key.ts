/**
 * Keys a file: an element before a coloured screen becomes a sequence of premultiplied linear light with alpha, in its own primaries.
 *
 * The screen's colour is told once, off frames over all of the file or at a place that a person shows; its light frame by frame, since
 * cameras drift. A frame that shows none of it is keyed with the light of the last one that did, and said.
 */
import { guidedChroma } from '../../chain/source/chroma/apply.js'
import { replaceNotFinite } from '../../chain/source/finite.js'
import { keyed } from '../../chain/source/key/apply.js'
import {
  ColourSearch,
  measureScreen,
  type ScreenColour,
  screenColourAt,
} from '../../chain/source/screen/measure.js'
import type { Screen } from '../../chain/source/screen/model.js'
import {
  type ColourEncoding,
  type FloatImage,
  type NativeFrame,
  Problem,
  type Reading,
  told,
} from '../../core/index.js'
import { applyCurve, type Coding, duringFrame, pack, unpack } from '../../kernels/index.js'
import {
  createWriter,
  deliveryEncoding,
  deliveryFindings,
  deliveryLayout,
  type OpenOptions,
  openSource,
  type Source,
  type SourceInfo,
} from '../../media/index.js'
import { tracker } from '../progress.js'
import { spread } from '../samples.js'
import { tablesOf } from '../tables.js'
import type { Job } from '../types.js'

const FORMAT = 'exr-half'
/** Frames off which the screen's colour is told. */
const LOOKED = 9

export interface KeyOptions {
  /** `name.####.exr` or a folder. */
  readonly out: string
  /** Of the file, 0-based; all when absent. */
  readonly frames?: { readonly first: number; readonly count: number } | undefined
  /** A place, in pixels of the file, where the first of these frames shows the screen alone. */
  readonly at?: { readonly x: number; readonly y: number } | undefined
  /** Share of the screen's light on the element that is taken off, 0 to 1. */
  readonly spill: number
  readonly encoding?: OpenOptions['encoding']
}

export interface KeyedFile {
  readonly frames: { readonly first: number; readonly count: number }
  /** Shares of red, green and blue in the screen's light. */
  readonly screen: readonly [number, number, number]
  /** Frames on which no screen is seen. */
  readonly without: readonly number[]
  readonly findings: readonly Problem[]
}

/** @throws Problem `key.no-screen`, `key.no-such-frames`, `key.no-such-place`; as `openSource`, `createWriter` */
export async function keyFile(path: string, options: KeyOptions, job: Job = {}): Promise<KeyedFile> {
  const source = await openSource(path, options.encoding === undefined ? {} : { encoding: options.encoding })
  try {
    const frames = framesOf(source.info, options.frames)
    const colour = await colourOf(source, frames, options.at, job)
    return await written(source, frames, colour, options, job)
  } finally {
    await source.close()
  }
}

function framesOf({ frameCount }: SourceInfo, asked: KeyOptions['frames']) {
  const { first, count } = asked ?? { first: 0, count: frameCount }
  if (first + count <= frameCount) return { first, count }
  throw new Problem({
    code: 'key.no-such-frames',
    what: 'The file does not have all the frames that are asked for',
    where: '--frames',
    expected: `within 0 to ${frameCount - 1}`,
    received: `${first} to ${first + count - 1}`,
  })
}

async function colourOf(
  source: Source,
  { first, count }: KeyedFile['frames'],
  at: KeyOptions['at'],
  job: Job,
): Promise<ScreenColour> {
  const { width, height } = source.info
  if (at !== undefined && !(at.x >= 0 && at.y >= 0 && at.x < width && at.y < height))
    throw new Problem({
      code: 'key.no-such-place',
      what: 'The place lies outside the picture',
      where: '--at',
      expected: `0 to ${width - 1}, 0 to ${height - 1}`,
      received: `${at.x}, ${at.y}`,
    })
  const found = at === undefined ? await searched(source, first, count, job) : await shown(source, first, at)
  if (told(found)) return found.value
  throw new Problem({
    code: 'key.no-screen',
    what: 'No screen was found',
    where: source.info.path,
    expected: 'a ground of one saturated colour on most frames',
    received: found.cannotTell,
    remedy: 'Show a place where only the screen is seen (--at X,Y).',
  })
}

async function searched(
  source: Source,
  first: number,
  count: number,
  job: Job,
): Promise<Reading<ScreenColour>> {
  const search = new ColourSearch()
  for (const n of spread(first, first + count - 1, LOOKED)) {
    job.signal?.throwIfAborted()
    for await (const frame of source.frames(n, 1)) search.add(lightOf(frame, source.info.encoding))
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

async function written(
  source: Source,
  frames: KeyedFile['frames'],
  colour: ScreenColour,
  { out, spill }: KeyOptions,
  job: Job,
): Promise<KeyedFile> {
  const { info } = source
  const layout = deliveryLayout(FORMAT, { alpha: true })
  const encoding = deliveryEncoding(FORMAT, info.encoding)
  const writer = await createWriter(out, {
    ...{ format: FORMAT, width: info.width, height: info.height, rate: info.rate, encoding, alpha: true },
    ...{ inputs: [info.path], pixelAspect: info.pixelAspect, firstNumber: info.firstNumber + frames.first },
  })
  const without: number[] = []
  let last: Screen | undefined
  try {
    const tick = tracker(job, 'key', frames.count)
    let n = frames.first
    for await (const native of source.frames(frames.first, frames.count)) {
      tick(n - frames.first)
      const light = lightOf(native, info.encoding)
      const seen: Reading<Screen> = measureScreen(light, n, colour)
      if (told(seen)) last = seen.value
      else without.push(n)
      const image = last === undefined ? light : keyed(light, last, { spill })
      await writer.write(duringFrame(() => pack(image, layout, encoding as Coding)))
      n++
    }
    await writer.finish(job.signal)
  } catch (error) {
    await writer.abort()
    throw error
  }
  const { r, g } = colour
  const findings = [...deliveryFindings(FORMAT, info.encoding, out), ...writer.findings]
  return { frames, screen: [r, g, 1 - r - g], without, findings }
}

/** A frame's light, chroma where luma says that it belongs. */
function lightOf(native: NativeFrame, encoding: ColourEncoding): FloatImage {
  return duringFrame(() => {
    const { width, height } = native
    const frame = guidedChroma(native, encoding)
    const image = unpack(frame, encoding as Coding, { x: 0, y: 0, width, height })
    if (native.layout.float) replaceNotFinite(image)
    applyCurve(image, tablesOf(encoding, 'decode'))
    for (let i = 3; i < image.data.length; i += 4) image.data[i] = 1
    return { region: image.region, data: Float32Array.from(image.data) }
  })
}
