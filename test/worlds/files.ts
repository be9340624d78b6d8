/**
 * The worlds' own file writing: H.264 in QuickTime with tags, timecode and sound, and PNG by hand [png3].
 * Independent of `src/media`: what the program reads was not written by itself.
 */
import { mkdirSync, writeFileSync } from 'node:fs'
import { dirname } from 'node:path'
import { constants, crc32, deflateSync } from 'node:zlib'
import {
  AV_CHANNEL_ORDER_NATIVE,
  AV_CODEC_FLAG_BITEXACT,
  AV_CODEC_FLAG_GLOBAL_HEADER,
  AV_LOG_ERROR,
  AV_SAMPLE_FMT_S16,
  AVCHROMA_LOC_LEFT,
  AVCOL_PRI_BT709,
  AVCOL_RANGE_MPEG,
  AVCOL_SPC_BT709,
  AVCOL_TRC_BT709,
  AVFMT_FLAG_BITEXACT,
} from 'node-av/constants'
import {
  avGetPixFmtFromName,
  Codec,
  CodecContext,
  Dictionary,
  FormatContext,
  Frame,
  Log,
  Packet,
  Rational,
  type Stream,
} from 'node-av/lib'
import { frameOf } from '../media/avFrame.js'

export interface MovieSpec {
  readonly path: string
  readonly width: number
  readonly height: number
  readonly fps: number
  readonly bits: 8 | 10
  readonly crf: number
  readonly timecode?: string
  /** Mono sound at 48 kHz, 16 bits. */
  readonly sound?: Int16Array
}

function must(code: number, what: string): void {
  if (code < 0) throw new Error(`${what}: code ${code}`)
}

/** Writes frames given as planar 4:2:0 samples (Y, Cb, Cr after one another, 16-bit words at 10 bits). */
export class Movie {
  private readonly context: CodecContext
  private readonly format: FormatContext
  private readonly picture: Stream
  private readonly sound: { context: CodecContext; stream: Stream } | undefined
  private readonly spec: MovieSpec
  private count = 0

  private constructor(
    spec: MovieSpec,
    context: CodecContext,
    format: FormatContext,
    picture: Stream,
    sound: Movie['sound'],
  ) {
    this.spec = spec
    this.context = context
    this.format = format
    this.picture = picture
    this.sound = sound
  }

  static async open(spec: MovieSpec): Promise<Movie> {
    Log.setLevel(AV_LOG_ERROR)
    mkdirSync(dirname(spec.path), { recursive: true })
    const codec = Codec.findEncoderByName('libx264' as Parameters<typeof Codec.findEncoderByName>[0])
    if (!codec) throw new Error('no H.264 encoder')
    const context = new CodecContext()
    context.allocContext3(codec)
    context.width = spec.width
    context.height = spec.height
    context.pixelFormat = avGetPixFmtFromName(spec.bits === 10 ? 'yuv420p10le' : 'yuv420p')
    context.timeBase = new Rational(1, spec.fps)
    context.framerate = new Rational(spec.fps, 1)
    context.sampleAspectRatio = new Rational(1, 1)
    context.colorRange = AVCOL_RANGE_MPEG
    context.colorSpace = AVCOL_SPC_BT709
    context.colorTrc = AVCOL_TRC_BT709
    context.colorPrimaries = AVCOL_PRI_BT709
    context.chromaLocation = AVCHROMA_LOC_LEFT
    context.gopSize = 12
    context.threadCount = 1
    context.setFlags(AV_CODEC_FLAG_BITEXACT, AV_CODEC_FLAG_GLOBAL_HEADER)
    must(context.setOption('crf', spec.crf), 'crf')
    must(context.setOption('preset', 'fast'), 'preset')
    // Else the encoder chooses by processor, and at 8 bits with AVX-512 reads memory that nobody wrote.
    must(context.setOption('x264-params', 'cpu-independent=1'), 'independence')
    must(context.open2Sync(codec), 'opening the encoder')
    const format = new FormatContext()
    must(format.allocOutputContext2(null, 'mov', spec.path), 'opening the container')
    format.setFlags(AVFMT_FLAG_BITEXACT)
    const picture = format.newStream()
    must(picture.codecpar.fromContext(context), 'picture track')
    picture.timeBase = new Rational(1, spec.fps)
    picture.avgFrameRate = new Rational(spec.fps, 1)
    if (spec.timecode) picture.metadata = Dictionary.fromObject({ timecode: spec.timecode })
    const sound = spec.sound ? openSound(format) : undefined
    must(await format.openOutput(), 'opening the file')
    must(await format.writeHeader(Dictionary.fromObject({})), 'head')
    return new Movie(spec, context, format, picture, sound)
  }

  async write(planes: Buffer): Promise<void> {
    const { spec, context } = this
    const frame = frameOf(planes, spec.width, spec.height, context.pixelFormat)
    frame.timeBase = new Rational(1, spec.fps)
    frame.pts = BigInt(this.count++)
    frame.colorRange = AVCOL_RANGE_MPEG
    frame.colorSpace = AVCOL_SPC_BT709
    frame.colorTrc = AVCOL_TRC_BT709
    frame.colorPrimaries = AVCOL_PRI_BT709
    frame.chromaLocation = AVCHROMA_LOC_LEFT
    await this.push(context, frame, this.picture, 1)
    frame.free()
  }

  async finish(): Promise<void> {
    await this.push(this.context, null, this.picture, 1)
    if (this.sound && this.spec.sound) {
      const { context, stream } = this.sound
      const samples = this.spec.sound
      for (let at = 0, block = 2048; at < samples.length; at += block) {
        const part = samples.subarray(at, Math.min(samples.length, at + block))
        const frame = Frame.fromAudioBuffer(Buffer.from(part.buffer, part.byteOffset, part.byteLength), {
          nbSamples: part.length,
          format: AV_SAMPLE_FMT_S16,
          sampleRate: 48000,
          channelLayout: mono,
          timeBase: new Rational(1, 48000),
        } as Parameters<typeof Frame.fromAudioBuffer>[1])
        frame.pts = BigInt(at)
        await this.push(context, frame, stream, part.length)
        frame.free()
      }
      await this.push(context, null, stream, 0)
      context.freeContext()
    }
    must(await this.format.writeTrailer(), 'tail')
    this.context.freeContext()
    await this.format.closeOutput()
    this.format.freeContext()
  }

  private async push(
    context: CodecContext,
    frame: Frame | null,
    stream: Stream,
    duration: number,
  ): Promise<void> {
    must(await context.sendFrame(frame), 'encoding')
    for (;;) {
      const packet = new Packet()
      packet.alloc()
      if ((await context.receivePacket(packet)) < 0) {
        packet.free()
        return
      }
      packet.streamIndex = stream.index
      if (packet.duration === 0n) packet.duration = BigInt(duration)
      packet.rescaleTs(context.timeBase, stream.timeBase)
      must(await this.format.interleavedWriteFrame(packet), 'writing')
      packet.free()
    }
  }
}

const mono = { order: AV_CHANNEL_ORDER_NATIVE, nbChannels: 1, mask: 4n }

function openSound(format: FormatContext): { context: CodecContext; stream: Stream } {
  const codec = Codec.findEncoderByName('pcm_s16le' as Parameters<typeof Codec.findEncoderByName>[0])
  if (!codec) throw new Error('no sound encoder')
  const context = new CodecContext()
  context.allocContext3(codec)
  context.sampleRate = 48000
  context.sampleFormat = AV_SAMPLE_FMT_S16
  context.channelLayout = mono
  context.timeBase = new Rational(1, 48000)
  must(context.open2Sync(codec), 'opening the sound encoder')
  const stream = format.newStream()
  must(stream.codecpar.fromContext(context), 'sound track')
  stream.timeBase = new Rational(1, 48000)
  return { context, stream }
}

/** A PNG of 1, 3 or 4 channels. Samples of 8 or 16 bits; 16-bit ones in the machine's order. */
export function writePng(
  path: string,
  width: number,
  height: number,
  channels: 1 | 3 | 4,
  data: Uint8Array | Uint16Array,
): void {
  mkdirSync(dirname(path), { recursive: true })
  const deep = data instanceof Uint16Array
  const line = width * channels * (deep ? 2 : 1)
  const raw = Buffer.allocUnsafe((line + 1) * height)
  const bytes = Buffer.from(data.buffer, data.byteOffset, data.byteLength)
  const back = (channels * (deep ? 16 : 8)) / 8
  const swapped = deep ? Buffer.from(bytes).swap16() : bytes
  for (let y = 0; y < height; y++) {
    const o = y * (line + 1)
    // Difference to the left: smooth pictures pack better and faster.
    raw[o] = 1
    for (let x = 0; x < line; x++) {
      const left = x >= back ? swapped[y * line + x - back] : 0
      raw[o + 1 + x] = swapped[y * line + x] - left
    }
  }
  const head = Buffer.alloc(13)
  head.writeUInt32BE(width, 0)
  head.writeUInt32BE(height, 4)
  head[8] = deep ? 16 : 8
  head[9] = channels === 1 ? 0 : channels === 3 ? 2 : 6
  writeFileSync(
    path,
    Buffer.concat([
      Buffer.from([137, 80, 78, 71, 13, 10, 26, 10]),
      chunk('IHDR', head),
      chunk('IDAT', deflateSync(raw, { level: 1, strategy: constants.Z_RLE })),
      chunk('IEND', Buffer.alloc(0)),
    ]),
  )
}

function chunk(type: string, data: Buffer): Buffer {
  const b = Buffer.alloc(data.length + 12)
  b.writeUInt32BE(data.length, 0)
  b.write(type, 4, 'latin1')
  data.copy(b, 8)
  b.writeUInt32BE(crc32(b.subarray(4, 8 + data.length)), 8 + data.length)
  return b
}
