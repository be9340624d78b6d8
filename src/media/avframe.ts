/** From a decoded frame to ours; the samples are copied, never converted. */
import type { AVPixelFormat } from 'node-av/constants'
import { avGetPixFmtName, Frame } from 'node-av/lib'
import { type NativeFrame, type Plane, planeSize, type Samples } from '../core/index.js'
import { formatNamed, liesAsOurs, type PixelFormat } from './formats.js'
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
  if (!liesAsOurs(format)) return unpackSamples(frame.toBuffer(), format, frame.width, frame.height)
  const { memory, linesize } = landed(frame)
  return copyPlanes({ width: frame.width, height: frame.height, linesize }, memory, format, room)
}

interface Landing {
  readonly frame: Frame
  readonly memory: readonly Buffer[]
  readonly linesize: readonly number[]
}

/** So many sizes and formats are read side by side: a plate, its elements and mattes. */
const MOST_LANDINGS = 4
const landings = new Map<string, Landing>()

/**
 * The frame's samples in memory of a thread's own that JavaScript knows already. To look at the memory of every decoded frame
 * would count as so much more memory in use, and set off a collection every few frames.
 */
function landed(frame: Frame): Landing {
  const key = `${frame.format} ${frame.width} ${frame.height}`
  const landing = landings.get(key) ?? landingFor(frame)
  landings.delete(key)
  landings.set(key, landing)
  for (const [oldest, { frame: old }] of landings) {
    if (landings.size <= MOST_LANDINGS) break
    old.free()
    landings.delete(oldest)
  }
  must(landing.frame.copy(frame), 'Copying a frame')
  return landing
}

function landingFor({ format, width, height }: Frame): Landing {
  const frame = new Frame()
  frame.alloc()
  Object.assign(frame, { format, width, height })
  must(frame.getBuffer(), 'Making room for a frame')
  return { frame, memory: frame.data ?? [], linesize: frame.linesize }
}

/** The library's rows may be padded; ours never are. */
function copyPlanes(
  { width, height, linesize }: { width: number; height: number; linesize: readonly number[] },
  memory: readonly Buffer[],
  { layout, components }: PixelFormat,
  room: FrameRoom,
): NativeFrame {
  const { bits, float } = layout
  const Kind = float ? Float32Array : bits > 8 ? Uint16Array : Uint8Array
  const Make = Kind as new (buffer: ArrayBufferLike, start: number, length: number) => Samples
  const sizes = components.map((_, i) => planeSize(layout, width, height, i))
  const bytes = (i: number) => (sizes[i]?.width ?? 0) * (sizes[i]?.height ?? 0) * Kind.BYTES_PER_ELEMENT
  // Grey formats send three planes to one.
  const first = components.map((c) => components.findIndex((d) => d.plane === c.plane))
  const own = room(first.reduce((sum, at, i) => sum + (at === i ? bytes(i) : 0), 0))
  const planes: Plane[] = []
  let start = own.byteOffset
  for (const [i, c] of components.entries()) {
    const shared = planes[first[i] as number]
    if (shared !== undefined) {
      planes.push(shared)
      continue
    }
    const size = sizes[i] as { width: number; height: number }
    const row = size.width * Kind.BYTES_PER_ELEMENT
    const to = new Uint8Array(own.buffer, start, bytes(i))
    copyRows(memory[c.plane] as Buffer, linesize[c.plane] as number, row, to)
    planes.push({ ...size, data: new Make(own.buffer, start, size.width * size.height) })
    start += bytes(i)
  }
  return { layout, width, height, planes }
}

function copyRows(from: Uint8Array, line: number, row: number, to: Uint8Array): void {
  if (line === row) to.set(from.subarray(0, to.length))
  else for (let y = 0; y * row < to.length; y++) to.set(from.subarray(y * line, y * line + row), y * row)
}
