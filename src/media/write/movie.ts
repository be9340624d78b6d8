/** Movies: frames into packets, packets in order into one file with the plate's sound. */
import { availableParallelism } from 'node:os'
import { extname } from 'node:path'
import type { CodecContext, Packet } from 'node-av/lib'
import { type NativeFrame, type PixelLayout, Problem } from '../../core/index.js'
import { quiet } from '../read/library.js'
import type { DeliverySpec } from '../types.js'
import { AudioCopy } from './audio.js'
import { deliveryLayout, type MovieCodec } from './delivery.js'
import {
  dropSettings,
  type EncoderSetup,
  encodeAlone,
  openEncoder,
  push,
  SEGMENT,
  tagFrame,
} from './encoder.js'
import { CodecFailure } from './failure.js'
import { encoderFrame } from './frame.js'
import { checkTimecode, Mux } from './mux.js'
import { Staging } from './staging.js'
import { codeTags, tagFindings } from './tags.js'
import type { Work } from './work.js'

export class MovieWork implements Work {
  readonly layout: PixelLayout
  readonly findings: Problem[]
  private readonly setup: EncoderSetup
  private readonly staging: Staging
  private readonly audio: AudioCopy | undefined
  private readonly mux: Mux
  /** Intra frames in the making, oldest first. */
  private readonly pending: Promise<Packet>[] = []
  private group: CodecContext | undefined
  private taken = 0
  private written = 0

  private constructor(
    path: string,
    setup: EncoderSetup,
    staging: Staging,
    opened: { mux: Mux; audio: AudioCopy | undefined; findings: readonly Problem[] },
  ) {
    this.layout = deliveryLayout(setup.spec.format)
    this.setup = setup
    this.staging = staging
    this.mux = opened.mux
    this.audio = opened.audio
    this.findings = [
      ...opened.findings,
      ...tagFindings(path, setup.spec.encoding),
      ...padFindings(path, setup),
    ]
  }

  static async open(path: string, spec: DeliverySpec, codec: MovieCodec): Promise<MovieWork> {
    checkTimecode(path, spec)
    quiet()
    const size = paddedSize(spec)
    const setup = { codec, spec, size, tags: codeTags(spec.encoding) }
    const audio = spec.audioFrom === undefined ? undefined : await AudioCopy.open(spec.audioFrom)
    let staging: Staging | undefined
    try {
      staging = await Staging.movie(path)
      return new MovieWork(path, setup, staging, await openMux(path, setup, staging, audio))
    } catch (error) {
      await audio?.close()
      await staging?.discard()
      throw error
    }
  }

  async write(frame: NativeFrame): Promise<void> {
    const index = this.taken++
    const { codec, size, spec, tags } = this.setup
    const input = encoderFrame(frame, codec.pixelFormat, size)
    tagFrame(input, tags, spec, index)
    if (codec.intra) {
      const job = encodeAlone(this.setup, input)
      job.catch(() => undefined) // Seen when its turn comes.
      this.pending.push(job)
      if (this.pending.length >= Math.min(4, availableParallelism())) await this.writeOldest()
      return
    }
    try {
      if (index % SEGMENT === 0) await this.closeGroup()
      this.group ??= openEncoder(this.setup)
      await this.writeAll(await push(this.group, input))
    } finally {
      input.free()
    }
  }

  async finish(): Promise<void> {
    while (this.pending.length > 0) await this.writeOldest()
    await this.closeGroup()
    await this.mux.writeSound(this.secondsAt(this.written))
    await this.mux.finish()
    await this.audio?.close()
    await this.staging.settle()
  }

  async abort(): Promise<void> {
    const left = await Promise.allSettled(this.pending.splice(0))
    for (const job of left) if (job.status === 'fulfilled') job.value.free()
    this.group?.freeContext()
    this.group = undefined
    await this.mux.close()
    await this.audio?.close()
    await this.staging.discard()
  }

  private secondsAt(frames: number): number {
    return (frames * this.setup.spec.rate.den) / this.setup.spec.rate.num
  }

  private async writeOldest(): Promise<void> {
    const job = this.pending.shift()
    if (job === undefined) return
    const packet = await job
    packet.pts = BigInt(this.written)
    packet.dts = packet.pts
    await this.writeAll([packet])
  }

  private async writeAll(packets: readonly Packet[]): Promise<void> {
    for (const packet of packets) {
      if (!this.setup.codec.intra) dropSettings(packet)
      // Sound lies just before the picture that it belongs to.
      await this.mux.writeSound(this.secondsAt(this.written))
      await this.mux.writePicture(packet)
      this.written++
    }
  }

  private async closeGroup(): Promise<void> {
    if (this.group === undefined) return
    const group = this.group
    this.group = undefined
    try {
      await this.writeAll(await push(group, null))
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
async function openMux(path: string, setup: EncoderSetup, staging: Staging, audio: AudioCopy | undefined) {
  const container =
    setup.spec.format === 'h264-preview' && extname(path).toLowerCase() !== '.mov' ? 'mp4' : 'mov'
  const encoder = openEncoder(setup)
  const base = { file: staging.temporary, container, spec: setup.spec, encoder, size: setup.size } as const
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
