/**
 * Keys a file: an element before a coloured screen becomes a sequence of premultiplied linear light with alpha, in its own primaries.
 *
 * The screen's colour is told once, off frames over all of the file or at a place that a person shows; its light frame by frame, since
 * cameras drift. A frame that shows none of it is keyed with the light of the last one that did, and said.
 */
import { createHash } from 'node:crypto'
import { availableParallelism } from 'node:os'
import { ColourSearch, type ScreenColour, screenColourAt } from '../../chain/source/screen/measure.js'
import type { Screen } from '../../chain/source/screen/model.js'
import { type NativeFrame, Problem, type Reading, told } from '../../core/index.js'
import {
  codecVersions,
  createWriter,
  type DeliverySpec,
  deliveryEncoding,
  deliveryFindings,
  deliveryLayout,
  type OpenOptions,
  openSource,
  type Source,
  type SourceInfo,
  sourceIdentity,
} from '../../media/index.js'
import { DEPTH, threadsWithin } from '../memory.js'
import { Pool } from '../pool.js'
import { acknowledging, tracker } from '../progress.js'
import { spread } from '../samples.js'
import { stopped } from '../stopped.js'
import type { Job } from '../types.js'
import { engineVersion } from '../version.js'
import { type KeyInput, type KeyMade, type KeyStart, lightOf } from './frame.js'

const FORMAT = 'exr-half'
/** Frames off which the screen's colour is told. */
const LOOKED = 9
/** Bytes that a thread works in a pixel: light, the screen behind, the element around, at their peak. */
const WORK = 16 * 16

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
  /** Starts over; else what was broken off goes on from its whole frames. */
  readonly fresh?: boolean
}

export interface KeyedFile {
  readonly frames: { readonly first: number; readonly count: number }
  /** Shares of red, green and blue in the screen's light. */
  readonly screen: readonly [number, number, number]
  /** Frames on which no screen is seen. */
  readonly without: readonly number[]
  /** Frames taken over from a call that was broken off. */
  readonly resumed: number
  readonly findings: readonly Problem[]
}

/**
 * The bytes depend on the file and on what is asked for alone, not on the number of threads. A call that was killed or cancelled leaves
 * its whole frames; the next one that asks for the same goes on after them.
 *
 * @throws Problem `key.no-screen`, `key.no-such-frames`, `key.no-such-place`; `engine.stopped` when cancelled; as `openSource`, `createWriter`
 */
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

interface Made {
  /** Of a frame that shows it. */
  readonly screen?: Screen
}

async function written(
  source: Source,
  frames: KeyedFile['frames'],
  colour: ScreenColour,
  { out, spill, fresh = false }: KeyOptions,
  asked: Job,
): Promise<KeyedFile> {
  const { info } = source
  const layout = deliveryLayout(FORMAT, { alpha: true })
  const encoding = deliveryEncoding(FORMAT, info.encoding)
  const spec: DeliverySpec = {
    ...{ format: FORMAT, width: info.width, height: info.height, rate: info.rate, encoding, alpha: true },
    ...{ inputs: [info.path], pixelAspect: info.pixelAspect, firstNumber: info.firstNumber + frames.first },
  }
  const start: KeyStart = { encoding: info.encoding, colour, spill, out: { layout, encoding } }
  const key = await keyOf(source, start, frames)
  const writer = await createWriter(out, spec, { key, count: frames.count, fresh })
  const made = [...(writer.kept as readonly Made[])]
  const resumed = made.length
  const idle = { done: resumed, total: frames.count, framesPerSecond: 0, secondsLeft: 0 }
  const { job, end } = acknowledging(asked, { stage: 'key', ...idle })
  const threads = threadsWithin(WORK * info.width * info.height, job, availableParallelism())
  const pool = new Pool<KeyInput, KeyMade>('key/worker.js', threads, DEPTH)
  const queue: { input: KeyInput; done: Promise<KeyMade> }[] = []
  const tick = tracker(job, 'key', frames.count, resumed)
  const takeOne = async () => {
    job.signal?.throwIfAborted()
    const { input, done } = queue.shift() as (typeof queue)[number]
    let { screen, frame } = await done
    if (frame === undefined) {
      const before = made.findLast((m) => m.screen !== undefined)?.screen ?? null
      ;({ frame } = await (await pool.submit({ ...input, before })).done)
    }
    const one: Made = screen === undefined ? {} : { screen }
    await writer.write(frame as NativeFrame, one)
    made.push(one)
    tick(made.length)
  }
  try {
    tick(resumed)
    pool.begin(start)
    let number = frames.first + resumed
    for await (const native of source.frames(number, frames.count - resumed)) {
      const input = { native, number: number++ }
      const { done } = await pool.submit(input)
      done.catch(() => {})
      queue.push({ input, done })
      if (queue.length >= DEPTH * threads) await takeOne()
    }
    while (queue.length > 0) await takeOne()
    await writer.finish(job.signal)
  } catch (error) {
    if (job.signal?.aborted !== true) {
      await writer.abort()
      throw error
    }
    throw stopped(await writer.keep(), frames.count)
  } finally {
    end()
    await pool.close()
  }
  const { r, g } = colour
  const without = made.flatMap((m, i) => (m.screen === undefined ? [frames.first + i] : []))
  const findings = [...deliveryFindings(FORMAT, info.encoding, out), ...writer.findings]
  return { frames, screen: [r, g, 1 - r - g], without, resumed, findings }
}

/** Everything that the bytes depend on. */
async function keyOf({ info }: Source, start: KeyStart, frames: KeyedFile['frames']): Promise<string> {
  const file = await sourceIdentity(info.path, info.kind === 'still')
  const parts = { versions: [engineVersion(), codecVersions()], start, frames, file }
  return createHash('sha256').update(JSON.stringify(parts)).digest('hex')
}
