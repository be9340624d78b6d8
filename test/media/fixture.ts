/** Small movies and pictures made at test time with lossless codecs, so that what must come back is known bit for bit. */
import { readFile, writeFile } from 'node:fs/promises'
import type { FFEncoderCodec } from 'node-av/constants'
import {
  AV_CODEC_FLAG_GLOBAL_HEADER,
  AV_LOG_QUIET,
  AV_PKT_DATA_DISPLAYMATRIX,
  AV_PKT_DATA_FRAME_CROPPING,
  AVFMT_GLOBALHEADER,
} from 'node-av/constants'
import {
  avGetPixFmtFromName,
  avImageGetBufferSize,
  Codec,
  CodecContext,
  Dictionary,
  FormatContext,
  Log,
  Packet,
  Rational,
} from 'node-av/lib'
import { frameOf } from './avFrame.js'

export interface Movie {
  readonly encoder: string
  /** FFmpeg's pixel format name. */
  readonly format: string
  readonly width: number
  readonly height: number
  /** Tight pictures. */
  readonly frames: readonly Buffer[]
  readonly options?: Readonly<Record<string, string | number>>
  /** Ticks; 0, 1, 2 … when left out. */
  readonly times?: readonly number[]
  readonly tick?: readonly [number, number]
  readonly rate?: readonly [number, number]
  /** Code points written into the bitstream: range, primaries, curve, matrix. */
  readonly tags?: readonly [number, number, number, number]
  /** Code points written into the container, when unlike. */
  readonly containerTags?: readonly [number, number, number, number]
  readonly matrix?: readonly number[]
  /** Clean aperture: samples to cut off at top, bottom, left, right. */
  readonly crop?: readonly [number, number, number, number]
  readonly aspect?: readonly [number, number]
  readonly metadata?: Readonly<Record<string, string>>
  readonly interlaced?: boolean
  /** Options of the container's writer. */
  readonly muxer?: Readonly<Record<string, string>>
}

const must = (code: number, what: string) => {
  if (code < 0) throw new Error(`${what}: ${code}`)
}

/** Random but repeatable bytes (xorshift32), masked to `bits` in words of 16 when above 8. */
export function noise(format: string, width: number, height: number, bits: number, seed: number): Buffer {
  const size = avImageGetBufferSize(avGetPixFmtFromName(format as never), width, height, 1)
  const out = Buffer.alloc(size)
  let x = (seed + 1) * 2654435761
  const next = () => {
    x ^= x << 13
    x ^= x >>> 17
    x ^= x << 5
    return x >>> 0
  }
  if (bits > 8) for (let i = 0; i + 1 < size; i += 2) out.writeUInt16LE(next() & (2 ** bits - 1), i)
  else for (let i = 0; i < size; i++) out[i] = next() & 255
  return out
}

export async function makeMovie(path: string, m: Movie): Promise<void> {
  Log.setLevel(AV_LOG_QUIET)
  const codec = Codec.findEncoderByName(m.encoder as FFEncoderCodec)
  if (codec === null) throw new Error(`no encoder ${m.encoder}`)
  const format = avGetPixFmtFromName(m.format as never)
  const out = new FormatContext()
  must(out.allocOutputContext2(null, null, path), 'container')
  const context = new CodecContext()
  context.allocContext3(codec)
  const tick = new Rational(...(m.tick ?? [1, 24]))
  context.width = m.width
  context.height = m.height
  context.pixelFormat = format
  context.timeBase = tick
  context.framerate = new Rational(...(m.rate ?? [24, 1]))
  context.threadCount = 1
  if (m.aspect) context.sampleAspectRatio = new Rational(...m.aspect)
  const set = (
    to: Pick<CodecContext, 'colorRange' | 'colorPrimaries' | 'colorTrc' | 'colorSpace'>,
    t: Movie['tags'],
  ) => {
    if (t === undefined) return
    Object.assign(to, { colorRange: t[0], colorPrimaries: t[1], colorTrc: t[2], colorSpace: t[3] })
  }
  set(context, m.tags)
  if (((out.oformat?.flags ?? 0) & AVFMT_GLOBALHEADER) !== 0) context.setFlags(AV_CODEC_FLAG_GLOBAL_HEADER)
  const options = Dictionary.fromObject(
    Object.fromEntries(Object.entries(m.options ?? {}).map(([k, v]) => [k, String(v)])),
  )
  must(await context.open2(codec, options), 'encoder')
  const stream = out.newStream(null)
  stream.timeBase = tick
  stream.avgFrameRate = context.framerate
  must(stream.codecpar.fromContext(context), 'parameters')
  if (m.aspect) stream.sampleAspectRatio = new Rational(...m.aspect)
  set(stream.codecpar, m.containerTags)
  if (m.matrix) {
    const bytes = Buffer.alloc(36)
    m.matrix.forEach((v, i) => {
      bytes.writeInt32LE(v * (i % 3 === 2 ? 2 ** 30 : 65536), 4 * i)
    })
    stream.codecpar.addCodedSideData(AV_PKT_DATA_DISPLAYMATRIX, bytes)
  }
  if (m.crop) {
    const bytes = Buffer.from(Uint32Array.from(m.crop).buffer)
    stream.codecpar.addCodedSideData(AV_PKT_DATA_FRAME_CROPPING, bytes)
  }
  if (m.metadata) stream.metadata = Dictionary.fromObject({ ...m.metadata })
  must(await out.openOutput(), 'file')
  must(await out.writeHeader(Dictionary.fromObject({ ...m.muxer })), 'header')
  const packet = new Packet()
  packet.alloc()
  const drain = async () => {
    while ((await context.receivePacket(packet)) >= 0) {
      packet.streamIndex = 0
      packet.rescaleTs(tick, stream.timeBase)
      must(await out.interleavedWriteFrame(packet), 'packet')
    }
  }
  for (const [i, bytes] of m.frames.entries()) {
    const frame = frameOf(bytes, m.width, m.height, format)
    frame.pts = BigInt(m.times?.[i] ?? i)
    const next = m.times?.[i + 1]
    frame.duration = BigInt(next === undefined ? 1 : next - (m.times?.[i] as number))
    set(frame, m.tags)
    if (m.interlaced) frame.flags = 8 | 16
    must(await context.sendFrame(frame), 'frame')
    frame.free()
    await drain()
  }
  await context.sendFrame(null)
  await drain()
  must(await out.writeTrailer(), 'trailer')
  await out.closeOutput()
  packet.free()
  context.freeContext()
  out.freeContext()
}

/** One picture file from a tight picture. */
export async function makePicture(
  path: string,
  encoder: string,
  format: string,
  width: number,
  height: number,
  bytes: Buffer,
  options: Readonly<Record<string, string>> = {},
): Promise<void> {
  Log.setLevel(AV_LOG_QUIET)
  const codec = Codec.findEncoderByName(encoder as FFEncoderCodec)
  if (codec === null) throw new Error(`no encoder ${encoder}`)
  const context = new CodecContext()
  context.allocContext3(codec)
  Object.assign(context, {
    width,
    height,
    pixelFormat: avGetPixFmtFromName(format as never),
    timeBase: new Rational(1, 24),
  })
  must(await context.open2(codec, Dictionary.fromObject({ ...options })), 'encoder')
  const frame = frameOf(bytes, width, height, avGetPixFmtFromName(format as never))
  frame.pts = 0n
  const packet = new Packet()
  packet.alloc()
  must(await context.sendFrame(frame), 'frame')
  await context.sendFrame(null)
  must(await context.receivePacket(packet), 'packet')
  await writeFile(path, packet.data as Buffer)
  frame.free()
  packet.free()
  context.freeContext()
}

/** First `part` of a file under a new name. */
export async function cutFile(from: string, to: string, part: number): Promise<void> {
  const bytes = await readFile(from)
  await writeFile(to, bytes.subarray(0, Math.floor(bytes.length * part)))
}
