/** Numbered files: every frame is a file of its own, all of them renamed into place at the end. */
import { writeFile } from 'node:fs/promises'
import { availableParallelism } from 'node:os'
import { type NativeFrame, type PixelLayout, Problem } from '../../core/index.js'
import { addFrames } from '../../timing/timecode.js'
import { quiet } from '../read/library.js'
import type { HalfFaults } from '../toHalf.js'
import type { DeliverySpec } from '../types.js'
import { deliveryLayout, type SequenceCodec } from './delivery.js'
import { exrFile } from './exr.js'
import { checkTimecode } from './mux.js'
import { pngFile } from './png.js'
import { type SequenceName, Staging, sequenceName } from './staging.js'
import { codeTags, tagFindings } from './tags.js'
import type { Work } from './work.js'

export class SequenceWork implements Work {
  readonly layout: PixelLayout
  private readonly path: string
  private readonly spec: DeliverySpec
  private readonly name: SequenceName
  private readonly staging: Staging
  private readonly faults: HalfFaults[] = []
  private readonly pending: Promise<void>[] = []

  private constructor(path: string, spec: DeliverySpec, name: SequenceName, staging: Staging) {
    this.path = path
    this.spec = spec
    this.name = name
    this.staging = staging
    this.layout = deliveryLayout(spec.format, { alpha: spec.alpha ?? false })
  }

  static async open(path: string, spec: DeliverySpec, codec: SequenceCodec): Promise<SequenceWork> {
    quiet()
    if (spec.format === 'exr-half') checkTimecode(path, spec)
    const name = sequenceName(path, codec.extension)
    return new SequenceWork(path, spec, name, await Staging.sequence(name.folder, name.stem))
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

  async write(frame: NativeFrame): Promise<void> {
    const faults = { notANumber: 0, beyondHalf: 0 }
    const to = this.staging.add(this.name.fileName(this.number(this.faults.length)))
    this.faults.push(faults)
    const job = this.file(frame, faults, this.faults.length - 1).then((bytes) => writeFile(to, bytes))
    job.catch(() => undefined) // Seen when its turn comes.
    this.pending.push(job)
    if (this.pending.length >= Math.min(4, availableParallelism())) await this.pending.shift()
  }

  async finish(): Promise<void> {
    while (this.pending.length > 0) await this.pending.shift()
    await this.staging.settle()
  }

  async abort(): Promise<void> {
    await Promise.allSettled(this.pending.splice(0))
    await this.staging.discard()
  }

  private number(index: number): number {
    return (this.spec.firstNumber ?? 1) + index
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
