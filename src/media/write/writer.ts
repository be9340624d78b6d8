/** The one way to write pictures: order of calls, checks, and cleaning up after any failure. */
import { layoutName, type NativeFrame, type PixelLayout, Problem, sameLayout } from '../../core/index.js'
import type { DeliverySpec, WriteOptions, Writer } from '../types.js'
import { checkSpec, deliveryCodec } from './delivery.js'
import { writeProblem } from './failure.js'
import { refuseInputs } from './inputs.js'
import { MovieWork } from './movie.js'
import { SequenceWork } from './sequence.js'
import type { Work } from './work.js'

/**
 * Begins a delivery. A movie replaces the file of its name at `finish`; a sequence replaces files of the same names.
 *
 * @param path movie file, `name.####.exr`, or a folder for a sequence; missing folders are made
 * @param options with a key, frames that a killed writer of the same key left whole are `kept`: go on after them
 * @throws Problem `media.cannot-write`, `media.disk-full`, `media.wrong-encoding`, `media.size-not-supported`,
 * `media.bad-timecode`, `media.output-is-input`, `media.wrong-extension`, `media.output-busy`: before any work, with
 * nothing left behind
 */
export async function createWriter(
  path: string,
  spec: DeliverySpec,
  options: WriteOptions = {},
): Promise<Writer> {
  checkSpec(path, spec)
  const codec = deliveryCodec(spec.format)
  await refuseInputs(path, spec, codec)
  try {
    const work =
      codec.kind === 'movie'
        ? await MovieWork.open(path, spec, codec, options)
        : await SequenceWork.open(path, spec, codec, options)
    return new OrderedWriter(path, spec, work)
  } catch (error) {
    throw await writeProblem(error, path)
  }
}

class OrderedWriter implements Writer {
  readonly layout: PixelLayout
  private readonly path: string
  private readonly spec: DeliverySpec
  private readonly work: Work
  private state: 'open' | 'finished' | 'gone' = 'open'
  private count: number
  /** Calls run one after another, also when the caller does not wait. */
  private last: Promise<unknown> = Promise.resolve()

  constructor(path: string, spec: DeliverySpec, work: Work) {
    this.path = path
    this.spec = spec
    this.work = work
    this.layout = work.layout
    this.count = work.kept.length
  }

  get findings(): readonly Problem[] {
    return this.work.findings
  }

  get kept(): readonly unknown[] {
    return this.work.kept
  }

  write(frame: NativeFrame, note?: unknown): Promise<void> {
    return this.inTurn(async () => {
      this.checkFrame(frame)
      await this.work.write(frame, note)
      this.count++
    })
  }

  finish(signal?: AbortSignal): Promise<void> {
    return this.inTurn(async () => {
      if (this.count === 0)
        throw new Problem({ code: 'media.no-frames', what: 'No frame was written', where: this.path })
      await this.work.finish(signal)
      this.state = 'finished'
    }, signal)
  }

  async abort(): Promise<void> {
    await this.last
    if (this.state !== 'open') return
    this.state = 'gone'
    await this.work.abort()
  }

  async keep(): Promise<number> {
    await this.last
    if (this.state !== 'open') return 0
    this.state = 'gone'
    return this.work.keep()
  }

  /** Runs `step` after the calls before it; a failure removes everything, being broken off does not. */
  private inTurn(step: () => Promise<void>, signal?: AbortSignal): Promise<void> {
    const turn = this.last.then(async () => {
      if (this.state !== 'open') {
        throw new Problem({
          code: 'media.writer-closed',
          what: 'This writer has ended',
          where: this.path,
          exit: 3,
        })
      }
      try {
        await step()
      } catch (error) {
        if (signal?.aborted === true && error === signal.reason) throw error
        const problem = await writeProblem(error, this.path)
        this.state = 'gone'
        await this.work.abort()
        throw problem
      }
    })
    this.last = turn.catch(() => undefined)
    return turn
  }

  private checkFrame(frame: NativeFrame): void {
    const { width, height } = this.spec
    if (frame.width === width && frame.height === height && sameLayout(frame.layout, this.layout)) return
    throw new Problem({
      code: 'media.wrong-frame',
      what: 'This frame is not of the size and layout that was agreed',
      where: this.path,
      expected: `${width}×${height}, ${layoutName(this.layout)}`,
      received: `${frame.width}×${frame.height}, ${layoutName(frame.layout)}`,
      exit: 3,
    })
  }
}
