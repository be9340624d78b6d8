/**
 * Our planes into an encoder's frame, sample by sample the same. Planes smaller than the encoder's are continued by
 * their last column and row, so that an odd picture fills the even one that subsampled codecs want.
 *
 * Samples go into memory that the library allocated: it neither copies nor keeps a JavaScript buffer that is handed to
 * it, and encoders keep frames longer than a call.
 */
import { avGetPixFmtFromName, Frame } from 'node-av/lib'
import type { NativeFrame, Plane, Samples } from '../../core/index.js'
import { must } from './failure.js'

export interface Raster {
  readonly width: number
  readonly height: number
}

/** A frame of a planar or packed format `pixelFormat`, at least as large as the pictures that fill it; free it after use. */
export class EncoderFrame {
  readonly frame = new Frame()
  private readonly pixelFormat: string
  private memory: readonly Buffer[]
  private readonly strides: readonly number[]

  constructor(pixelFormat: string, size: Raster) {
    this.pixelFormat = pixelFormat
    const { frame } = this
    frame.alloc()
    try {
      frame.width = size.width
      frame.height = size.height
      frame.format = avGetPixFmtFromName(pixelFormat)
      must(frame.getBuffer(), 'Making room for a frame')
      this.memory = frame.data ?? []
      this.strides = frame.linesize
    } catch (error) {
      frame.free()
      throw error
    }
  }

  /** Not while an encoder works on it. */
  fill(picture: NativeFrame): void {
    if (!this.frame.isWritable) {
      must(this.frame.makeWritable(), 'Making room for a frame')
      this.memory = this.frame.data ?? []
    }
    const { memory, strides } = this
    if (this.pixelFormat === 'rgb48be') {
      interleave48(picture, memory[0] as Buffer, strides[0] as number)
      return
    }
    for (const [i, plane] of picture.planes.entries())
      copyPlane(plane, memory[i] as Buffer, strides[i] as number)
  }

  free(): void {
    this.frame.free()
  }
}

/** The same for one picture. */
export function encoderFrame(picture: NativeFrame, pixelFormat: string, size: Raster): Frame {
  const out = new EncoderFrame(pixelFormat, size)
  try {
    out.fill(picture)
    return out.frame
  } catch (error) {
    out.free()
    throw error
  }
}

/** Fills `to` (rows of `stride` bytes) with the plane, repeating its last column and row to the memory's end. */
function copyPlane(plane: Plane, to: Buffer, stride: number): void {
  const { width, height, data } = plane
  const target = viewLike(data, to)
  const words = stride / data.BYTES_PER_ELEMENT
  const rows = Math.floor(target.length / words)
  const whole = words === width ? height : 0
  if (whole > 0) target.set(data.subarray(0, width * whole))
  for (let y = whole; y < rows; y++) {
    const row = Math.min(y, height - 1) * width
    target.set(data.subarray(row, row + width), y * words)
    target.fill(data[row + width - 1] as number, y * words + width, (y + 1) * words)
  }
}

function viewLike(data: Samples, to: Buffer): Samples {
  const Kind = data.constructor as new (buffer: ArrayBufferLike, offset: number, length: number) => Samples
  return new Kind(to.buffer, to.byteOffset, Math.floor(to.length / data.BYTES_PER_ELEMENT))
}

/** R, G, B planes of 16 bits to big-endian triples. */
function interleave48(frame: NativeFrame, to: Buffer, stride: number): void {
  const words = new Uint16Array(to.buffer, to.byteOffset, to.length >> 1)
  const row = stride >> 1
  for (let c = 0; c < 3; c++) {
    const data = (frame.planes[c] as Plane).data
    for (let y = 0; y < frame.height; y++) {
      let at = y * row + c
      const start = y * frame.width
      for (let x = 0; x < frame.width; x++, at += 3) {
        const v = data[start + x] as number
        words[at] = ((v & 255) << 8) | (v >> 8)
      }
    }
  }
}
