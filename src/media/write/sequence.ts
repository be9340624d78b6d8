/** Numbered files: every frame is a file of its own, all of them renamed into place at the end. */
import { readdir } from 'node:fs/promises'
import { availableParallelism } from 'node:os'
import { join } from 'node:path'
import { type NativeFrame, type PixelLayout, Problem } from '../../core/index.js'
import type { HalfFaults } from '../../kernels/index.js'
import { addFrames } from '../../timing/timecode.js'
import { quiet } from '../read/library.js'
import type { DeliverySpec, WriteOptions } from '../types.js'
import { deliveryLayout, type SequenceCodec } from './delivery.js'
import { exrFile } from './exr.js'
import { Journal } from './journal.js'
import { checkTimecode } from './mux.js'
import { type SequenceName, sequenceName } from './naming.js'
import { pngFile } from './png.js'
import { codeTags, tagFindings } from './tags.js'
import type { Work } from './work.js'
import { WorkFolder, writeDurable } from './workFolder.js'

export class SequenceWork implements Work {
  readonly layout: PixelLayout
  readonly kept: readonly unknown[]
  private readonly path: string
  private readonly spec: DeliverySpec
  private readonly name: SequenceName
  private readonly work: WorkFolder
  private readonly journal: Journal
  /** By frame, those that were kept included. */
  private readonly faults: HalfFaults[]
  private readonly pending: Promise<void>[] = []
  private whole: number

  private constructor(
    path: string,
    spec: DeliverySpec,
    name: SequenceName,
    work: WorkFolder,
    journal: Journal,
  ) {
    this.path = path
    this.spec = spec
    this.name = name
    this.work = work
    this.journal = journal
    this.kept = journal.kept.map((line) => line.note)
    this.faults = journal.kept.map((line) => line.faults)
    this.whole = journal.kept.length
    this.layout = deliveryLayout(spec.format, { alpha: spec.alpha ?? false })
  }

  static async open(
    path: string,
    spec: DeliverySpec,
    codec: SequenceCodec,
    options: WriteOptions,
  ): Promise<SequenceWork> {
    quiet()
    if (spec.format === 'exr-half') checkTimecode(path, spec)
    const name = sequenceName(path, codec.extension)
    const first = firstNumber(spec)
    const work = await WorkFolder.open({ folder: name.folder, name: name.pattern, first }, options)
    try {
      const journal = await Journal.open(work, name.folder, (index) => name.fileName(first + index))
      return new SequenceWork(path, spec, name, work, journal)
    } catch (error) {
      await work.discard()
      throw error
    }
  }

  get findings(): readonly Problem[] {
    const own = this.spec.format === 'png-16' ? tagFindings(this.path, this.spec.encoding) : []
    const what = {
      notANumber: ['media.not-a-number', 'Samples that are no number were written as 0'],
      beyondHalf: ['media.beyond-half', 'Samples beyond the range of half floats were written as ±65504'],
    } as const
    for (const kind of ['notANumber', 'beyondHalf'] as const) {
      const found = this.faults.flatMap((f, i) =>
        f[kind] > 0 ? [{ frame: this.number(i), count: f[kind] }] : [],
      )
      if (found.length === 0) continue
      const shown = found.slice(0, 10).map((f) => `${f.count} in file ${f.frame}`)
      if (found.length > 10) shown.push(`and ${found.length - 10} more files`)
      own.push(
        new Problem({
          code: what[kind][0],
          what: what[kind][1],
          where: this.path,
          received: shown.join(', '),
        }),
      )
    }
    return own
  }

  async write(frame: NativeFrame, note: unknown): Promise<void> {
    const faults = { notANumber: 0, beyondHalf: 0 }
    const index = this.faults.length
    this.faults.push(faults)
    const job = this.file(frame, faults, index).then((bytes) => this.store(index, bytes, faults, note))
    job.catch(() => undefined) // Seen when its turn comes.
    this.pending.push(job)
    if (this.pending.length >= Math.min(4, availableParallelism())) await this.takeOldest()
  }

  async finish(signal?: AbortSignal): Promise<void> {
    while (this.pending.length > 0) await this.takeOldest()
    signal?.throwIfAborted()
    await this.journal.moving(this.work)
    const here = new Set(await readdir(this.work.path))
    const names = this.faults.map((_, index) => this.fileName(index)).filter((name) => here.has(name))
    await this.work.settle(new Map(names.map((name) => [name, join(this.name.folder, name)])))
  }

  async abort(): Promise<void> {
    await this.stop()
    await this.work.discard()
  }

  async keep(): Promise<number> {
    await this.stop()
    if (this.whole === 0) await this.work.discard()
    else await this.work.release()
    return this.whole
  }

  private async stop(): Promise<void> {
    for (const { status } of await Promise.allSettled(this.pending.splice(0))) {
      if (status === 'rejected') break
      this.whole++
    }
    await this.journal.close()
  }

  private async takeOldest(): Promise<void> {
    await this.pending.shift()
    this.whole++
  }

  private async store(index: number, bytes: Buffer, faults: HalfFaults, note: unknown): Promise<void> {
    const name = this.fileName(index)
    await writeDurable(this.work.file(`${name}.tmp`), bytes)
    await this.work.commit(`${name}.tmp`, name)
    await this.journal.add({ index, size: bytes.length, faults, note: note ?? null })
  }

  private number(index: number): number {
    return firstNumber(this.spec) + index
  }

  private fileName(index: number): string {
    return this.name.fileName(this.number(index))
  }

  private file(frame: NativeFrame, faults: HalfFaults, index: number): Promise<Buffer> {
    const { encoding, rate, timecode } = this.spec
    if (this.spec.format === 'png-16') return pngFile(frame, this.spec, codeTags(encoding))
    const pixelAspect = this.spec.pixelAspect ?? { num: 1, den: 1 }
    const facts = { primaries: encoding.primaries, rate, pixelAspect }
    const own = timecode === undefined ? {} : { timecode: addFrames(timecode, index, rate) }
    return exrFile(frame, { ...facts, ...own }, faults)
  }
}

function firstNumber(spec: DeliverySpec): number {
  return spec.firstNumber ?? 1
}
