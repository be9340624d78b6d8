/** Reads deliveries with the codec library alone, sharing no code with src/media. */
import { AV_PKT_DATA_FRAME_CROPPING, AVMEDIA_TYPE_AUDIO, AVMEDIA_TYPE_VIDEO } from 'node-av/constants'
import { avGetPixFmtName, Codec, CodecContext, FormatContext, Frame, Packet } from 'node-av/lib'

export interface Tags {
  readonly range: number
  readonly matrix: number
  readonly curve: number
  readonly primaries: number
  readonly siting: number
}

export interface BackFrame {
  readonly width: number
  readonly height: number
  readonly format: string
  readonly pts: bigint
  readonly bytes: Buffer
  readonly tags: Tags
}

export interface BackStream {
  readonly kind: 'video' | 'audio' | 'other'
  readonly width: number
  readonly height: number
  readonly rate: string
  readonly aspect: string
  /** Clean aperture: top, bottom, left, right to cut off. */
  readonly crop: readonly number[]
  readonly profile: number
  readonly tags: Tags
  readonly metadata: Record<string, string>
  readonly timeBase: { num: number; den: number }
  readonly packets: { pts: bigint; dts: bigint; duration: bigint; key: boolean; data: Buffer }[]
}

export interface Back {
  readonly streams: BackStream[]
  readonly video: BackStream
  readonly frames: BackFrame[]
}

export async function readBack(path: string, decode = true): Promise<Back> {
  const format = new FormatContext()
  if ((await format.openInput(path)) < 0) throw new Error(`cannot open ${path}`)
  await format.findStreamInfo()
  const streams: BackStream[] = format.streams.map((s) => ({
    kind:
      s.codecpar.codecType === AVMEDIA_TYPE_VIDEO
        ? 'video'
        : s.codecpar.codecType === AVMEDIA_TYPE_AUDIO
          ? 'audio'
          : 'other',
    width: s.codecpar.width,
    height: s.codecpar.height,
    rate: `${s.avgFrameRate.num}/${s.avgFrameRate.den}`,
    aspect: `${s.sampleAspectRatio.num}/${s.sampleAspectRatio.den}`,
    crop: Array.from({ length: 4 }, (_, i) => {
      const side = s.codecpar.getCodedSideData(AV_PKT_DATA_FRAME_CROPPING)
      return side === null ? 0 : side.readUInt32LE(4 * i)
    }),
    profile: s.codecpar.profile,
    tags: {
      range: s.codecpar.colorRange,
      matrix: s.codecpar.colorSpace,
      curve: s.codecpar.colorTrc,
      primaries: s.codecpar.colorPrimaries,
      siting: s.codecpar.chromaLocation,
    },
    metadata: s.metadata?.getAll() ?? {},
    timeBase: { num: s.timeBase.num, den: s.timeBase.den },
    packets: [],
  }))
  const at = streams.findIndex((s) => s.kind === 'video')
  const source = format.streams[at]
  const frames: BackFrame[] = []
  const decoder = new CodecContext()
  if (decode && source !== undefined) {
    const codec = Codec.findDecoder(source.codecpar.codecId)
    decoder.allocContext3(codec)
    decoder.parametersToContext(source.codecpar)
    decoder.threadCount = 1
    await decoder.open2(codec)
  }
  const packet = new Packet()
  packet.alloc()
  while ((await format.readFrame(packet)) >= 0) {
    const { pts, dts, duration, isKeyframe: key, data } = packet
    streams[packet.streamIndex]?.packets.push({ pts, dts, duration, key, data: Buffer.from(data ?? []) })
    if (decode && packet.streamIndex === at) {
      await decoder.sendPacket(packet)
      await drain(decoder, frames)
    }
    packet.unref()
  }
  if (decode && source !== undefined) {
    await decoder.sendPacket(null)
    await drain(decoder, frames)
    decoder.freeContext()
  }
  packet.free()
  await format.closeInput()
  return { streams, video: streams[at] as BackStream, frames }
}

async function drain(decoder: CodecContext, frames: BackFrame[]): Promise<void> {
  const frame = new Frame()
  frame.alloc()
  while ((await decoder.receiveFrame(frame)) >= 0) {
    frames.push({
      width: frame.width,
      height: frame.height,
      format: avGetPixFmtName(frame.format as Parameters<typeof avGetPixFmtName>[0]) ?? '',
      pts: frame.pts,
      bytes: Buffer.from(frame.toBuffer()),
      tags: {
        range: frame.colorRange,
        matrix: frame.colorSpace,
        curve: frame.colorTrc,
        primaries: frame.colorPrimaries,
        siting: frame.chromaLocation,
      },
    })
    frame.unref()
  }
  frame.free()
}

/** The samples of plane `index` of a tight planar picture, 8 bits, 16 bits or float. */
export function planeOf(frame: BackFrame, index: number): Uint8Array | Uint16Array | Float32Array {
  const step = /420/.test(frame.format) ? [1, 1] : /422/.test(frame.format) ? [1, 0] : [0, 0]
  const Kind = /f32/.test(frame.format)
    ? Float32Array
    : /p1\d|48|64/.test(frame.format)
      ? Uint16Array
      : Uint8Array
  let from = 0
  for (let i = 0; ; i++) {
    const chroma = (i === 1 || i === 2) && /^yuv/.test(frame.format)
    const [sx, sy] = chroma ? step : [0, 0]
    const count = ((frame.width + (1 << sx) - 1) >> sx) * ((frame.height + (1 << sy) - 1) >> sy)
    const bytes = count * Kind.BYTES_PER_ELEMENT
    if (i === index) return new Kind(Uint8Array.from(frame.bytes.subarray(from, from + bytes)).buffer)
    from += bytes
  }
}

/** The first `width` columns and `height` rows of a plane `stride` wide. */
export function cut(data: ArrayLike<number>, stride: number, width: number, height: number): number[] {
  const out: number[] = []
  for (let y = 0; y < height; y++) for (let x = 0; x < width; x++) out.push(data[y * stride + x])
  return out
}

/** Peak signal to noise, dB, of two planes of `bits`. */
export function psnr(a: ArrayLike<number>, b: ArrayLike<number>, bits: number): number {
  if (a.length !== b.length) throw new Error(`${a.length} samples against ${b.length}`)
  let sum = 0
  for (let i = 0; i < a.length; i++) sum += (a[i] - b[i]) ** 2
  return 10 * Math.log10((2 ** bits - 1) ** 2 / (sum / a.length))
}
