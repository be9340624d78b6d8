/** Small pictures for reports: 8-bit RGB to PNG or JPEG bytes. */
import { AV_CODEC_FLAG_QSCALE, AVCOL_RANGE_JPEG, FF_ENCODER_MJPEG, FF_ENCODER_PNG } from 'node-av/constants'
import { avGetPixFmtFromName, Codec, CodecContext, Frame, Packet, Rational } from 'node-av/lib'
import { Problem } from '../core/index.js'

/**
 * @param rgb width × height × 3 bytes, row by row from the top
 * @param quality JPEG only, 1 (coarse) to 100 (finest)
 * @throws Problem `media.still-failed` (exit 3)
 */
export async function encodeStill(
  rgb: Uint8Array,
  width: number,
  height: number,
  kind: 'png' | 'jpeg',
  quality = 90,
): Promise<Uint8Array> {
  if (rgb.length !== width * height * 3)
    throw new RangeError(`${width}×${height} needs ${width * height * 3} bytes`)
  const codec = Codec.findEncoderByName(kind === 'png' ? FF_ENCODER_PNG : FF_ENCODER_MJPEG)
  if (codec === null) throw failed('no encoder')
  const format = avGetPixFmtFromName(kind === 'png' ? 'rgb24' : 'yuvj444p')
  const context = new CodecContext()
  const packet = new Packet()
  const frame = new Frame()
  try {
    frame.alloc()
    Object.assign(frame, { width, height, format, pts: 0n })
    if (frame.getBuffer() < 0) throw failed('no memory for the picture')
    // Into the library's own memory: it does not keep a buffer of ours alive.
    const planes = kind === 'png' ? [rgb] : toJfif(rgb, width * height)
    for (const [i, plane] of planes.entries()) copyRows(plane, frame, i)
    context.allocContext3(codec)
    context.width = width
    context.height = height
    context.pixelFormat = format
    context.timeBase = new Rational(1, 1)
    if (kind === 'jpeg') {
      context.colorRange = AVCOL_RANGE_JPEG
      frame.colorRange = AVCOL_RANGE_JPEG
      // The encoder's scale runs from 1 (finest) to 31, in units of 118.
      const scale = Math.min(31, Math.max(1, Math.round((100 - quality) * 0.3) + 1))
      context.setFlags(AV_CODEC_FLAG_QSCALE)
      context.globalQuality = scale * 118
      frame.quality = scale * 118
    }
    packet.alloc()
    const done =
      (await context.open2(codec)) >= 0 &&
      (await context.sendFrame(frame)) >= 0 &&
      (await context.sendFrame(null)) >= 0 &&
      (await context.receivePacket(packet)) >= 0
    if (!done || packet.data === null) throw failed('the encoder refused the picture')
    return Uint8Array.from(packet.data)
  } finally {
    frame.free()
    packet.free()
    context.freeContext()
  }
}

function copyRows(from: Uint8Array, frame: Frame, plane: number): void {
  const row = from.length / frame.height
  const to = frame.data?.[plane] as Buffer
  const stride = frame.linesize[plane] as number
  for (let y = 0; y < frame.height; y++) to.set(from.subarray(y * row, (y + 1) * row), y * stride)
}

/** Full-range BT.601 planes without subsampling, as JFIF asks. Source: [jfif §7]. */
function toJfif(rgb: Uint8Array, count: number): Uint8Array[] {
  const planes = [0, 1, 2].map(() => new Uint8ClampedArray(count))
  const [luma, blue, red] = planes as [Uint8ClampedArray, Uint8ClampedArray, Uint8ClampedArray]
  for (let i = 0; i < count; i++) {
    const r = rgb[3 * i] as number
    const g = rgb[3 * i + 1] as number
    const b = rgb[3 * i + 2] as number
    const y = 0.299 * r + 0.587 * g + 0.114 * b
    luma[i] = y
    blue[i] = 128 + (b - y) / 1.772
    red[i] = 128 + (r - y) / 1.402
  }
  return planes.map((p) => new Uint8Array(p.buffer))
}

function failed(received: string): Problem {
  return new Problem({
    code: 'media.still-failed',
    what: 'A picture could not be written',
    received,
    exit: 3,
  })
}
