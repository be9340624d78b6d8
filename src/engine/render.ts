import { createHash } from 'node:crypto'
import { availableParallelism } from 'node:os'
import { type NativeFrame, Problem } from '../core/index.js'
import { createWriter, type DeliverySpec, deliveryFindings, type Writer } from '../media/index.js'
import type { Shot } from '../shot/schema.js'
import { addFrames } from '../timing/timecode.js'
import { flashFindings } from './cadence.js'
import { conformFindings } from './conform.js'
import { shutterFindings } from './exposure.js'
import { type FrameInput, type FrameMade, FrameMaker } from './frame.js'
import { FrameMemory } from './frameMemory.js'
import { frameInputs, framesOf } from './inputs.js'
import { lensFindings } from './lensFindings.js'
import { DEPTH, type Share, shareOf } from './memory.js'
import { allSources, makePlan, type Plan, type ShotSources, shotRange } from './plan.js'
import { Pool } from './pool.js'
import { acknowledging, tracker } from './progress.js'
import { readyFor } from './recent.js'
import { renderKey } from './renderKey.js'
import { closeShot, openShot } from './sources.js'
import { lostFindings } from './stand.js'
import { stopped } from './stopped.js'
import type { FrameRecord, Job, RenderOptions, RenderResult } from './types.js'
import type { Start } from './worker.js'

/**
 * Renders a shot to a file or a sequence. The bytes depend on the document and the sources alone, not on the number of
 * workers. Nothing stands under the final name unless all of it does. A call that was killed or cancelled leaves its whole
 * parts in a hidden folder beside the output; the next one that asks for the same goes on from there, to the same bytes.
 * After a failure nothing is left.
 *
 * @param folder what the document's relative paths are relative to
 * @throws Problem for wrong input (exit 2) or failed work (exit 3); `engine.stopped` when cancelled
 */
export async function renderShot(
  shot: Shot,
  folder: string,
  options: RenderOptions,
  job: Job = {},
): Promise<RenderResult> {
  const start = performance.now()
  const sources = await openShot(shot, folder)
  try {
    const numbers = frameNumbers(shot, sources, options)
    const plan = makePlan(shot, sources, options)
    const share = shareOf(plan, job, availableParallelism())
    const spec = deliverySpec(plan, sources, options, numbers)
    const key = await renderKey(plan, sources, numbers, options, spec)
    const { fresh = false } = options
    const writer = await createWriter(options.out, spec, { key, count: numbers.length, fresh })
    const outputs = await run(plan, sources, numbers, writer, share, job, options.digests === true)
    return {
      out: options.out,
      format: options.format,
      variant: plan.variant,
      frames: outputs.map((o) => o.record),
      resumed: writer.kept.length,
      findings: [
        ...deliveryFindings(options.format, sources.plate.info.encoding, options.out),
        ...writer.findings,
        ...(plan.variant === 'null'
          ? []
          : [
              ...lostFindings(plan, numbers),
              ...lensFindings(plan.shot),
              ...shutterFindings(plan.shot),
              ...conformFindings(plan, numbers),
              ...flashFindings(plan.shot, plan.plate),
            ]),
        ...findings(
          outputs.map((o) => o.output),
          shot,
        ),
      ],
      seconds: (performance.now() - start) / 1000,
    }
  } finally {
    await closeShot(sources)
  }
}

type Made = { record: FrameRecord; output: Pick<FrameMade, 'number' | 'replaced' | 'bad'> }

/** Inputs that are decoded while one is handed on. */
const AHEAD = 1

/** Decoding, pixel work and encoding side by side; each waits for the next when it is too far ahead. */
async function run(
  plan: Plan,
  sources: ShotSources,
  numbers: readonly number[],
  writer: Writer,
  { threads, inputs: most }: Share,
  asked: Job,
  digests: boolean,
): Promise<Made[]> {
  const made = [...(writer.kept as readonly Made[])]
  const idle = { done: made.length, total: numbers.length, framesPerSecond: 0, secondsLeft: 0 }
  const { job, end } = acknowledging(asked, { stage: 'render', ...idle })
  const pool = new Pool<FrameInput, FrameMade>('worker.js', threads, DEPTH)
  const memory = new FrameMemory()
  const queue: { input: FrameInput; done: Promise<FrameMade> }[] = []
  const tick = tracker(job, 'render', numbers.length, made.length)
  const takeOne = async () => {
    const { input, done } = queue.shift() as (typeof queue)[number]
    const { number, replaced, bad, touched, frame = input.plate } = await done
    const record = { frame: number, touched, ...(digests ? { sha256: digest(frame) } : {}) }
    const one: Made = { record, output: { number, replaced, bad } }
    await writer.write(frame, one)
    made.push(one)
    for (const f of framesOf(input)) memory.letGo(f)
    tick(made.length)
  }
  try {
    tick(made.length)
    // The threads load their program meanwhile.
    const first: Start = { plan, ready: readyFor(() => new FrameMaker(plan)) }
    pool.begin(first)
    const left = numbers.slice(made.length)
    const inputs = frameInputs(plan.shot, sources, left, plan.variant !== 'null', memory)
    for await (const input of ahead(inputs, AHEAD)) {
      job.signal?.throwIfAborted()
      const { done } = await pool.submit(input)
      done.catch(() => {})
      queue.push({ input, done })
      if (queue.length + AHEAD >= most) await takeOne()
    }
    while (queue.length > 0) await takeOne()
    await writer.finish(job.signal)
    return made
  } catch (error) {
    if (job.signal?.aborted !== true) {
      await writer.abort()
      throw error
    }
    throw stopped(await writer.keep(), numbers.length)
  } finally {
    end()
    await pool.close()
  }
}

/** The same items; up to `count` more are made while the taker is busy. */
async function* ahead<T>(items: AsyncGenerator<T, void, undefined>, count: number) {
  const coming: Promise<IteratorResult<T, void>>[] = []
  try {
    for (;;) {
      while (coming.length <= count) coming.push(items.next())
      for (const c of coming) c.catch(() => {}) // Seen when its turn comes.
      const next = await (coming.shift() as (typeof coming)[number])
      if (next.done === true) return
      yield next.value
    }
  } finally {
    await items.return()
  }
}

function frameNumbers(shot: Shot, sources: ShotSources, options: RenderOptions): number[] {
  const { count } = shotRange(shot, sources.plate.info.frameCount)
  const asked = options.frames ?? { first: 0, count }
  if (asked.count < 1 || asked.first < 0 || asked.first + asked.count > count) {
    throw new Problem({
      code: 'engine.no-such-frames',
      what: 'The frames asked for are not all in the shot',
      where: shot.plate.file,
      expected: `at least one, within 0 to ${count - 1}`,
      received: asked.count < 1 ? 'none' : `${asked.first} to ${asked.first + asked.count - 1}`,
      remedy: 'Count frames from 0, at the first frame of the shot.',
    })
  }
  return Array.from({ length: asked.count }, (_, i) => asked.first + i)
}

function deliverySpec(
  plan: Plan,
  sources: ShotSources,
  options: RenderOptions,
  numbers: readonly number[],
): DeliverySpec {
  const { info } = sources.plate
  const first = shotRange(plan.shot, info.frameCount).first + (numbers[0] ?? 0)
  const seconds = (frames: number) => (frames * info.rate.den) / info.rate.num
  return {
    format: options.format,
    width: info.width,
    height: info.height,
    rate: info.rate,
    encoding: plan.delivery.encoding,
    alpha: plan.delivery.layout.alpha,
    inputs: allSources(sources).map((s) => s.info.path),
    pixelAspect: info.pixelAspect,
    firstNumber: info.firstNumber + first,
    ...(info.timecode === undefined ? {} : { timecode: addFrames(info.timecode, first, info.rate) }),
    ...(info.audio === undefined
      ? {}
      : { audioFrom: { path: info.path, startSeconds: seconds(first), seconds: seconds(numbers.length) } }),
  }
}

function digest(frame: NativeFrame): string {
  const hash = createHash('sha256')
  for (const { data } of frame.planes)
    hash.update(new Uint8Array(data.buffer, data.byteOffset, data.byteLength))
  return hash.digest('hex')
}

/** One finding a file: how many NaN and infinite values were replaced, and on which frames. */
function findings(outputs: readonly Made['output'][], shot: Shot): Problem[] {
  const files = new Map<string, { nan: number; infinite: number; frames: number[] }>()
  const note = (file: string, frame: number, nan: number, infinite: number) => {
    if (nan + infinite === 0) return
    const entry = files.get(file) ?? { nan: 0, infinite: 0, frames: [] }
    files.set(file, {
      nan: entry.nan + nan,
      infinite: entry.infinite + infinite,
      frames: [...entry.frames, frame],
    })
  }
  for (const o of outputs) {
    note(shot.plate.file, o.number, o.replaced.nan, o.replaced.infinite)
    for (const b of o.bad)
      note(shot.elements.find((e) => e.id === b.id)?.file ?? b.id, o.number, b.nan, b.infinite)
  }
  return [...files].map(
    ([file, { nan, infinite, frames }]) =>
      new Problem({
        code: 'chain.not-finite',
        what: 'The file holds values that are no light; NaN was filled from its neighbours, infinity held to ±65504',
        where: file,
        received: `${nan} NaN and ${infinite} infinite values on frames ${frames.slice(0, 8).join(', ')}${frames.length > 8 ? ', …' : ''}`,
      }),
  )
}
