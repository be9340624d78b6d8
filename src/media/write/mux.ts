/** One movie file: container, picture track, sound tracks, timecode. */
import { AV_PKT_DATA_FRAME_CROPPING, AVFMT_FLAG_BITEXACT } from 'node-av/constants'
import { type CodecContext, Dictionary, FormatContext, type Packet, Rational, type Stream } from 'node-av/lib'
import { Problem } from '../../core/index.js'
import { isTimecode, nominal } from '../timecode.js'
import type { DeliverySpec } from '../types.js'
import type { AudioCopy } from './audio.js'
import { must } from './failure.js'
import type { Raster } from './frame.js'

export interface MuxSetup {
  readonly file: string
  readonly container: 'mov' | 'mp4'
  readonly spec: DeliverySpec
  readonly encoder: CodecContext
  /** Size that is encoded; what exceeds the picture is marked to be cut off by whoever shows it. */
  readonly size: Raster
  readonly audio?: AudioCopy
}

export class Mux {
  private readonly format: FormatContext
  private readonly picture: Stream
  private readonly sound: readonly Stream[]
  private readonly setup: MuxSetup
  private closed = false

  private constructor(format: FormatContext, picture: Stream, sound: readonly Stream[], setup: MuxSetup) {
    this.format = format
    this.picture = picture
    this.sound = sound
    this.setup = setup
  }

  /** Opens the file and writes its head. @throws CodecFailure also when the container cannot hold the sound's codec */
  static async open(setup: MuxSetup): Promise<Mux> {
    const format = new FormatContext()
    must(format.allocOutputContext2(null, setup.container, setup.file), 'Opening the container')
    try {
      format.setFlags(AVFMT_FLAG_BITEXACT)
      const picture = addPicture(format, setup)
      const sound = (setup.audio?.streams ?? []).map((s) => addSound(format, s))
      must(await format.openOutput(), 'Opening the file')
      const options = Dictionary.fromObject(
        setup.spec.format === 'h264-preview' ? { movflags: '+faststart' } : {},
      )
      try {
        must(await format.writeHeader(options), 'Writing the head of the file')
      } finally {
        options.free()
      }
      return new Mux(format, picture, sound, setup)
    } catch (error) {
      await release(format)
      throw error
    }
  }

  /** Takes a picture packet timed in frames. Frees it. */
  async writePicture(packet: Packet): Promise<void> {
    const { rate } = this.setup.spec
    if (packet.duration === 0n) packet.duration = 1n
    await this.write(packet, { num: rate.den, den: rate.num }, this.picture)
  }

  /** Writes the sound that belongs before `seconds`. */
  async writeSound(seconds: number): Promise<void> {
    const { audio } = this.setup
    if (audio === undefined) return
    for await (const { packet, track } of audio.upTo(seconds)) {
      await this.write(packet, (audio.streams[track] as Stream).timeBase, this.sound[track] as Stream)
    }
  }

  /** Writes the tail. Every code is looked at: a full disk may show here only. */
  async finish(): Promise<void> {
    must(await this.format.writeTrailer(), 'Writing the tail of the file')
    await this.format.flush()
    must(this.format.pb?.error ?? 0, 'Writing the file')
    await this.close()
  }

  async close(): Promise<void> {
    if (this.closed) return
    this.closed = true
    await release(this.format)
  }

  private async write(packet: Packet, from: { num: number; den: number }, stream: Stream): Promise<void> {
    try {
      packet.streamIndex = stream.index
      packet.rescaleTs(from, stream.timeBase)
      must(await this.format.interleavedWriteFrame(packet), 'Writing a packet')
    } finally {
      packet.free()
    }
  }
}

async function release(format: FormatContext): Promise<void> {
  await format.closeOutput()
  format.freeContext()
}

function addPicture(format: FormatContext, { spec, encoder, size }: MuxSetup): Stream {
  const stream = format.newStream()
  must(stream.codecpar.fromContext(encoder), 'Describing the picture track')
  stream.timeBase = new Rational(spec.rate.den, spec.rate.num)
  stream.avgFrameRate = new Rational(spec.rate.num, spec.rate.den)
  const aspect = spec.pixelAspect ?? { num: 1, den: 1 }
  stream.sampleAspectRatio = new Rational(aspect.num, aspect.den)
  if (size.width !== spec.width || size.height !== spec.height) {
    // Top, bottom, left, right: 32-bit little-endian, as the library defines this side data.
    const crop = Buffer.alloc(16)
    crop.writeUInt32LE(size.height - spec.height, 4)
    crop.writeUInt32LE(size.width - spec.width, 12)
    must(stream.codecpar.addCodedSideData(AV_PKT_DATA_FRAME_CROPPING, crop), 'Marking the padding')
  }
  if (spec.timecode !== undefined) stream.metadata = Dictionary.fromObject({ timecode: spec.timecode })
  return stream
}

function addSound(format: FormatContext, source: Stream): Stream {
  const stream = format.newStream()
  must(source.codecpar.copy(stream.codecpar), 'Describing a sound track')
  // The tag belongs to the container it came from.
  stream.codecpar.codecTag = 0
  stream.timeBase = new Rational(source.timeBase.num, source.timeBase.den)
  return stream
}

/** @throws Problem `media.bad-timecode` */
export function checkTimecode(path: string, spec: DeliverySpec): void {
  const { timecode, rate } = spec
  if (timecode === undefined || isTimecode(timecode, rate)) return
  throw new Problem({
    code: 'media.bad-timecode',
    what: 'There is no such timecode at this frame rate',
    where: path,
    expected: `hh:mm:ss:ff with frames below ${nominal(rate)}${timecode.includes(';') ? '; drop-frame only at 29.97 and 59.94' : ''}`,
    received: timecode,
  })
}
