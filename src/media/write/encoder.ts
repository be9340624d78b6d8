/**
 * Encoders whose packets do not depend on what was encoded before, nor on the number of threads (ARCHITECTURE rule 7).
 *
 * Intra codecs encode frames side by side, one thread each (`lanes.ts`). DNxHR gets a fresh encoder for every frame: its search
 * for a quantiser starts where the frame before ended, and its threads each carry such a start. H.264 gets a fresh encoder for every
 * closed group of frames and a fixed number of threads, which its output depends on.
 */
import { AV_CODEC_FLAG_BITEXACT, AV_CODEC_FLAG_GLOBAL_HEADER } from 'node-av/constants'
import { avGetPixFmtFromName, Codec, CodecContext, type Frame, Packet, Rational } from 'node-av/lib'
import { type MatrixName, Problem } from '../../core/index.js'
import { isDry } from '../read/library.js'
import type { DeliverySpec } from '../types.js'
import type { MovieCodec } from './delivery.js'
import { must } from './failure.js'
import type { Raster } from './frame.js'
import type { CodeTags } from './tags.js'

const H264_THREADS = 4

export interface EncoderSetup {
  readonly codec: MovieCodec
  readonly spec: DeliverySpec
  /** Size that is encoded, padding included. */
  readonly size: Raster
  readonly tags: CodeTags
}

/** An opened encoder; `freeContext` when done. @throws Problem `media.no-encoder`, CodecFailure */
export function openEncoder({ codec, spec, size, tags }: EncoderSetup): CodecContext {
  const found = Codec.findEncoderByName(codec.encoder as Parameters<typeof Codec.findEncoderByName>[0])
  if (found === null) {
    throw new Problem({
      code: 'media.no-encoder',
      what: `The codec library lacks the encoder for ${spec.format}`,
      received: codec.encoder,
      remedy: 'Choose another delivery format.',
      exit: 3,
    })
  }
  const context = new CodecContext()
  context.allocContext3(found)
  try {
    context.width = size.width
    context.height = size.height
    context.pixelFormat = avGetPixFmtFromName(codec.pixelFormat)
    context.timeBase = new Rational(spec.rate.den, spec.rate.num)
    context.framerate = new Rational(spec.rate.num, spec.rate.den)
    const aspect = spec.pixelAspect ?? { num: 1, den: 1 }
    context.sampleAspectRatio = new Rational(aspect.num, aspect.den)
    context.colorRange = tags.range
    context.colorSpace = tags.matrix
    context.colorTrc = tags.curve
    context.colorPrimaries = tags.primaries
    context.chromaLocation = tags.siting
    context.threadCount = codec.intra ? 1 : H264_THREADS
    context.setFlags(AV_CODEC_FLAG_BITEXACT, AV_CODEC_FLAG_GLOBAL_HEADER)
    if (codec.profile !== undefined) context.profile = codec.profile as typeof context.profile
    if (!codec.intra) context.gopSize = codec.segment
    for (const [name, value] of Object.entries(codec.options)) {
      must(context.setOption(name, value), `Setting ${name} of ${codec.encoder}`)
    }
    must(context.open2Sync(found), `Opening ${codec.encoder}`)
    return context
  } catch (error) {
    context.freeContext()
    throw error
  }
}

/** Gives the frame the tags that encoders read from frames rather than from themselves. */
export function tagFrame(frame: Frame, tags: CodeTags, spec: DeliverySpec, index: number): void {
  frame.pts = BigInt(index)
  frame.colorRange = tags.range
  frame.colorSpace = tags.matrix
  frame.colorTrc = tags.curve
  frame.colorPrimaries = tags.primaries
  frame.chromaLocation = tags.siting
  const aspect = spec.pixelAspect ?? { num: 1, den: 1 }
  frame.sampleAspectRatio = new Rational(aspect.num, aspect.den)
}

/** Sends a frame (`null`: no more) and takes the packets that are ready; the caller frees them. */
export async function push(context: CodecContext, frame: Frame | null): Promise<Packet[]> {
  must(await context.sendFrame(frame), 'Encoding')
  const packets: Packet[] = []
  for (;;) {
    const packet = new Packet()
    packet.alloc()
    const code = await context.receivePacket(packet)
    if (code >= 0) packets.push(packet)
    else {
      packet.free()
      if (isDry(code)) return packets
      must(code, 'Encoding')
    }
  }
}

/**
 * The encoder leaves the two bits of a DNxHR picture's header that name its matrix at 0, BT.709, whatever it is told:
 * 1 BT.2020, 3 said elsewhere. Source: [smpte-st2019-1 table 4].
 */
export function tagColourVolume(packet: Packet, matrix: MatrixName): void {
  const bytes = packet.data
  if (bytes === null || matrix === 'bt709') return
  bytes[0x2c] = ((bytes[0x2c] as number) & ~6) | ((matrix === 'bt2020' ? 1 : 3) << 1)
  replaceData(packet, bytes)
}

/**
 * Takes the units of supplemental information (type 6) out of an H.264 packet: the encoder writes its version and
 * settings there, and the same pictures must make the same bytes. Units begin after 00 00 01. Source: [h264 Annex B].
 */
export function dropSettings(packet: Packet): void {
  const bytes = packet.data
  if (bytes === null) return
  const begins: number[] = []
  for (let at = bytes.indexOf(UNIT); at >= 0; at = bytes.indexOf(UNIT, at + 3)) begins.push(at)
  const units = begins.map((from, i) => bytes.subarray(from, begins[i + 1] ?? bytes.length))
  const kept = units.filter((unit) => ((unit[3] as number) & 31) !== 6)
  if (kept.length < units.length) replaceData(packet, Buffer.concat(kept))
}

/** Setting the bytes clears times and flags, the mark of a key frame among them. */
function replaceData(packet: Packet, bytes: Buffer): void {
  const { pts, dts, duration, flags } = packet
  packet.data = bytes
  Object.assign(packet, { pts, dts, duration, flags })
}

const UNIT = Buffer.from([0, 0, 1])
