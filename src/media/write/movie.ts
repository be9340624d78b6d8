/** Movies: frames into packets, packets into parts on disk, and every whole part into one file with the plate's sound. */
import { rm, stat } from 'node:fs/promises'
import { availableParallelism } from 'node:os'
import { basename, dirname, extname, resolve } from 'node:path'
import type { CodecContext, Packet } from 'node-av/lib'
import { type NativeFrame, type PixelLayout, Problem } from '../../core/index.js'
import { quiet } from '../read/library.js'
import type { DeliverySpec, WriteOptions } from '../types.js'
import { AudioCopy } from './audio.js'
import { deliveryLayout, type MovieCodec } from './delivery.js'
import { dropSettings, type EncoderSetup, openEncoder, push, tagFrame } from './encoder.js'
import { CodecFailure, cannotWrite } from './failure.js'
import { encoderFrame } from './frame.js'
import { Lanes } from './lanes.js'
import { checkTimecode, Mux } from './mux.js'
import { keptParts, PartWriter, packetsOf } from './parts.js'
import { codeTags, tagFindings } from './tags.js'
import type { Work } from './work.js'
import { flushToDisk, WorkFolder } from './workFolder.js'

/** The file in the making. */
const MOVIE = 'movie'

export class MovieWork implements Work {
  readonly layout: PixelLayout
  readonly findings: Problem[]
  readonly kept: readonly unknown[]
  private readonly path: string
  private readonly setup: EncoderSetup
  private readonly work: WorkFolder
  private readonly audio: AudioCopy | undefined
  private readonly mux: Mux
  /** Intra frames in the making, oldest first. */
  private readonly pending: Promise<Packet>[] = []
  /** Notes of the frames whose packets have not come out yet. */
  private readonly notes: unknown[] = []
  private readonly lanes: Lanes
  private group: CodecContext | undefined
  private part: PartWriter | undefined
  /** The part before, on its way to the disk. */
  private committing: Promise<void> = Promise.resolve()
  /** Whole parts go into the file, one after the other, while others are made. */
  private joining: Promise<void> = Promise.resolve()
  private joined = 0
  private readonly given = new AbortController()
  private taken: number
  /** Frames whose packets are in parts, the one in the making included. */
  private packed: number
  /** Frames in whole parts. */
  private whole: number

  private constructor(
    path: string,
    setup: EncoderSetup,
    work: WorkFolder,
    kept: readonly unknown[],
    opened: { mux: Mux; audio: AudioCopy | undefined; findings: readonly Problem[] },
  ) {
    this.layout = deliveryLayout(setup.spec.format)
    this.path = path
    this.setup = setup
    this.lanes = new Lanes(setup)
    this.work = work
    this.kept = kept
    this.taken = this.packed = this.whole = kept.length
    this.mux = opened.mux
    this.audio = opened.audio
    this.findings = [
      ...opened.findings,
      ...tagFindings(path, setup.spec.encoding),
      ...padFindings(path, setup),
    ]
    for (let part = 0; part * setup.codec.segment < kept.length; part++) this.join(part)
  }

  static async open(
    path: string,
    spec: DeliverySpec,
    codec: MovieCodec,
    options: WriteOptions,
  ): Promise<MovieWork> {
    checkTimecode(path, spec)
    if ((await stat(path).catch(() => undefined))?.isDirectory())
      throw cannotWrite(path, 'a folder has this name')
    quiet()
    const size = paddedSize(spec)
    const setup = { codec, spec, size, tags: codeTags(spec.encoding) }
    const audio = spec.audioFrom === undefined ? undefined : await AudioCopy.open(spec.audioFrom)
    let work: WorkFolder | undefined
    try {
      const full = resolve(path)
      work = await WorkFolder.open({ folder: dirname(full), name: basename(full) }, options)
      const kept = await keptParts(work, codec.segment, options.count)
      return new MovieWork(full, setup, work, kept, await openMux(path, setup, work.file(MOVIE), audio))
    } catch (error) {
      await audio?.close()
      await work?.discard()
      throw error
    }
  }

  async write(frame: NativeFrame, note: unknown): Promise<void> {
    const index = this.taken++
    const { codec, size, spec, tags } = this.setup
    this.notes.push(note)
    if (codec.intra) {
      const job = this.lanes.encode(frame, index)
      job.catch(() => undefined) // Seen when its turn comes.
      this.pending.push(job)
      if (this.pending.length >= Math.min(4, availableParallelism())) await this.packOldest()
      return
    }
    const input = encoderFrame(frame, codec.pixelFormat, size)
    tagFrame(input, tags, spec, index)
    try {
      if (index % codec.segment === 0) await this.closeGroup()
      this.group ??= openEncoder(this.setup)
      await this.packAll(await push(this.group, input))
    } finally {
      input.free()
    }
  }

  async finish(signal?: AbortSignal): Promise<void> {
    while (this.pending.length > 0) await this.packOldest()
    this.lanes.close()
    await this.closeGroup()
    await this.closePart()
    await this.committing
    const giveUp = () => this.given.abort(signal?.reason)
    if (signal?.aborted === true) giveUp()
    signal?.addEventListener('abort', giveUp, { once: true })
    await this.joining
    await this.mux.writeSound(this.secondsAt(this.joined))
    await this.mux.finish()
    await this.audio?.close()
    await flushToDisk(this.work.file(MOVIE))
    await this.work.settle(new Map([[MOVIE, this.path]]))
  }

  async abort(): Promise<void> {
    await this.stop()
    await this.work.discard()
  }

  async keep(): Promise<number> {
    await this.stop()
    if (this.whole === 0) await this.work.discard()
    else {
      await rm(this.work.file(MOVIE), { force: true })
      await this.work.release()
    }
    return this.whole
  }

  private async stop(): Promise<void> {
    const left = await Promise.allSettled(this.pending.splice(0))
    for (const job of left) if (job.status === 'fulfilled') job.value.free()
    this.lanes.close()
    this.group?.freeContext()
    this.group = undefined
    await this.committing.catch(() => undefined)
    this.given.abort()
    await this.joining.catch(() => undefined)
    await this.part?.abandon()
    this.part = undefined
    await this.mux.close()
    await this.audio?.close()
  }

  private secondsAt(frames: number): number {
    return (frames * this.setup.spec.rate.den) / this.setup.spec.rate.num
  }

  private async packOldest(): Promise<void> {
    const job = this.pending.shift()
    if (job === undefined) return
    const packet = await job
    packet.pts = BigInt(this.packed)
    packet.dts = packet.pts
    await this.packAll([packet])
  }

  private async packAll(packets: readonly Packet[]): Promise<void> {
    const { intra, segment } = this.setup.codec
    for (const packet of packets) {
      if (!intra) dropSettings(packet)
      this.part ??= await PartWriter.begin(this.work, Math.floor(this.packed / segment))
      await this.part.add(packet, this.notes.shift())
      this.packed++
      if (this.part.frames === segment) await this.closePart()
    }
  }

  /** Sends a part on its way to the disk; the next one is gathered meanwhile. */
  private async closePart(): Promise<void> {
    await this.committing
    // What went wrong there already is heard now; what is still at work is not waited for.
    await Promise.race([this.joining, undefined])
    const { part } = this
    if (part === undefined) return
    this.part = undefined
    this.committing = part.commit().then(() => {
      this.whole += part.frames
      this.join(part.number)
    })
    this.committing.catch(() => undefined) // Seen when the next part comes.
  }

  /** Puts a whole part into the file when those before are in it. */
  private join(part: number): void {
    this.joining = this.joining.then(async () => {
      for await (const packet of packetsOf(this.work, part, this.given.signal)) {
        // Sound lies just before the picture that it belongs to.
        await this.mux.writeSound(this.secondsAt(this.joined++))
        await this.mux.writePicture(packet)
      }
      await flushToDisk(this.work.file(MOVIE))
    })
    this.joining.catch(() => undefined) // Seen when the next part comes, or at the end.
  }

  private async closeGroup(): Promise<void> {
    if (this.group === undefined) return
    const group = this.group
    this.group = undefined
    try {
      await this.packAll(await push(group, null))
    } finally {
      group.freeContext()
    }
  }
}

/** Even where chroma is subsampled or the encoder spoils odd columns; the picture itself where neither is so. */
function paddedSize({ format, width, height }: DeliverySpec) {
  const even = (n: number) => n + (n & 1)
  return { width: even(width), height: deliveryLayout(format).subY === 1 ? even(height) : height }
}

function padFindings(path: string, { spec, size }: EncoderSetup): Problem[] {
  if (size.width === spec.width && size.height === spec.height) return []
  return [
    new Problem({
      code: 'media.padded',
      what: `${spec.format} holds even sizes only; the last column or row is repeated and marked to be cut off`,
      where: path,
      expected: `${spec.width}×${spec.height}`,
      received: `${size.width}×${size.height}`,
      remedy: 'Programs that ignore the mark (clean aperture) show the repeated pixels: crop them there.',
    }),
  ]
}

/** Opens the file with the sound, or without it where the container cannot hold its codec. */
async function openMux(path: string, setup: EncoderSetup, file: string, audio: AudioCopy | undefined) {
  const container =
    setup.spec.format === 'h264-preview' && extname(path).toLowerCase() !== '.mov' ? 'mp4' : 'mov'
  const encoder = openEncoder(setup)
  const base = { file, container, spec: setup.spec, encoder, size: setup.size } as const
  try {
    if (audio === undefined) {
      const findings = setup.spec.audioFrom === undefined ? [] : [noSound(setup.spec.audioFrom.path)]
      return { mux: await Mux.open(base), audio, findings }
    }
    try {
      return { mux: await Mux.open({ ...base, audio }), audio, findings: [] }
    } catch (error) {
      if (!(error instanceof CodecFailure)) throw error
      const mux = await Mux.open(base)
      await audio.close()
      return { mux, audio: undefined, findings: [soundLeftOut(path, container, error.message)] }
    }
  } finally {
    encoder.freeContext()
  }
}

function noSound(path: string): Problem {
  return new Problem({ code: 'media.no-audio', what: 'The file has no sound to copy', where: path })
}

function soundLeftOut(path: string, container: string, why: string): Problem {
  return new Problem({
    code: 'media.audio-not-copied',
    what: `The plate's sound cannot be copied into ${container}; the file is silent`,
    where: path,
    received: why,
    remedy: 'Lay the sound in the edit from the plate itself.',
  })
}
