/** From a decoded frame to ours; the samples are copied, never converted. */
import type { AVPixelFormat } from 'node-av/constants'
import { avGetPixFmtName, Frame } from 'node-av/lib'
import { type NativeFrame, type Plane, planeSize, type Samples } from '../core/index.js'
import { formatNamed, liesAsOurs } from './formats.js'
import { unpackSamples } from './samples.js'
import type { FrameRoom } from './types.js'
import { must } from './write/failure.js'

const ownRoom: FrameRoom = (bytes) => new Uint8Array(bytes)

/**
 * Our planes of a decoded frame, which can be freed afterwards.
 *
 * @param room memory for the samples; not asked for formats that must be picked apart
 * @throws Problem `media.unsupported-layout`
 */
export function fromAvFrame(frame: Frame, where?: string, room: FrameRoom = ownRoom): NativeFrame {
  const format = formatNamed(avGetPixFmtName(frame.format as AVPixelFormat) ?? 'none', where)
  const { width, height } = frame
  if (!liesAsOurs(format)) return unpackSamples(frame.toBuffer(), format, width, height)
  const { layout, components } = format
  const Kind = layout.float ? Float32Array : layout.bits > 8 ? Uint16Array : Uint8Array
  const Make = Kind as new (buffer: ArrayBufferLike, start: number, length: number) => Samples
  const sizes = components.map((_, i) => planeSize(layout, width, height, i))
  // The library's planes in its own order; grey formats send three of ours to one.
  const first = [0, 1, 2, 3].map((p) => sizes[components.findIndex((c) => c.plane === p)])
  const lengths = first.map((size) => (size === undefined ? 0 : size.width * size.height))
  const samples = (planes: number) => lengths.slice(0, planes).reduce((sum, n) => sum + n, 0)
  const memory = room(Kind.BYTES_PER_ELEMENT * samples(4))
  copyInto(memory, frame)
  const datas = lengths.map(
    (n, p) => new Make(memory.buffer, memory.byteOffset + Kind.BYTES_PER_ELEMENT * samples(p), n),
  )
  const made = first.map((size, p) => size && { ...size, data: datas[p] as Samples })
  return { layout, width, height, planes: components.map((c) => made[c.plane] as Plane) }
}

/**
 * Lets the library copy a frame into memory of ours: a frame without memory of its own takes what it is given as its planes, one
 * after the other and rows without padding. To look at the memory of every decoded frame would count as so much more memory in
 * use, and set off a collection every few frames.
 */
function copyInto(memory: Uint8Array, frame: Frame): void {
  const { format, width, height } = frame
  const own = new Frame()
  own.alloc()
  try {
    Object.assign(own, { format, width, height })
    must(
      own.fromBuffer(Buffer.from(memory.buffer, memory.byteOffset, memory.byteLength)),
      'Laying out a frame',
    )
    must(own.copy(frame), 'Copying a frame')
  } finally {
    own.free()
  }
}
