/** Decoded frames of a movie from a given one on, each with its number in the order of time. */
import { AVSEEK_FLAG_BACKWARD } from 'node-av/constants'
import { type Frame, Packet } from 'node-av/lib'
import { type Container, openContainer } from './container.js'
import { decodeAll, openDecoder, packetsOf } from './decoder.js'
import type { Scan } from './scan.js'

export interface Numbered {
  readonly index: number
  readonly frame: Frame
}

/** Frames before `from` may come first. A frame is freed when the next one is asked for. */
export async function* run(
  path: string,
  scan: Scan,
  from: number,
  threads?: number,
): AsyncGenerator<Numbered, void, undefined> {
  let container = await openContainer(path)
  let start: Packet | undefined
  try {
    start = await seek(container, scan, from)
    if (start === undefined) {
      await container.format.closeInput()
      container = await openContainer(path)
    }
    yield* decode(container, scan, start, path, threads)
  } finally {
    start?.free()
    await container.format.closeInput()
  }
}

/** Where to start for a frame: its key, or the one before where keys may need a while to settle. Absent: at the file's start. */
function keyFor({ pts, keys, sync }: Scan, from: number) {
  const wanted = pts[from]
  if (wanted === undefined) return undefined
  const before = keys.filter((k) => k.pts <= wanted).sort((a, b) => a.pts - b.pts)
  const first = keys[0]
  const key = before.at(sync ? -1 : -2)
  return key === first || (!sync && before.length < 3) ? undefined : key
}

/** Frames to decode for a frame, itself included. */
export function reach(scan: Scan, frame: number): number {
  const key = keyFor(scan, frame)
  if (key === undefined) return frame + 1
  return frame + 1 - scan.pts.findIndex((t) => t >= key.pts)
}

/**
 * Goes to the key for a frame, and checks where it landed.
 * Gives the first packet from there, or `undefined` when the file must be read from its start.
 */
async function seek(container: Container, scan: Scan, from: number): Promise<Packet | undefined> {
  const key = keyFor(scan, from)
  if (key === undefined) return undefined
  const { format, stream } = container
  // Where an index says which pictures are keys, the library looks for times of presentation.
  const at = BigInt(scan.sync ? key.pts : key.dts)
  if ((await format.seekFrame(stream.index, at, AVSEEK_FLAG_BACKWARD)) < 0) return undefined
  const packet = new Packet()
  packet.alloc()
  while ((await format.readFrame(packet)) >= 0) {
    if (packet.streamIndex === stream.index) {
      if (packet.isKeyframe && Number(packet.pts) <= key.pts) return packet
      break
    }
    packet.unref()
  }
  packet.free()
  return undefined
}

async function* decode(
  container: Container,
  scan: Scan,
  start: Packet | undefined,
  path: string,
  threads: number | undefined,
) {
  const { format, stream } = container
  const decoder = await openDecoder(stream, path, threads)
  const packets = startingWith(
    start,
    packetsOf((p) => format.readFrame(p), stream.index),
  )
  let next = 0
  try {
    for await (const frame of decodeAll(decoder.context, packets)) {
      if (scan.pts.length === 0) {
        yield { index: next++, frame }
        continue
      }
      const found = numberOf(scan.pts, Number(frame.bestEffortTimestamp), next)
      if (found < 0) continue
      next = found + 1
      yield { index: found, frame }
    }
  } finally {
    decoder.context.freeContext()
  }
}

async function* startingWith(first: Packet | undefined, rest: AsyncIterable<Packet>) {
  if (first !== undefined) yield first
  yield* rest
}

/** Index of time `at`; of several alike the first one not before `next`. −1 when no packet had it. */
function numberOf(pts: Float64Array, at: number, next: number): number {
  let [low, high] = [0, pts.length]
  while (low < high) {
    const mid = (low + high) >> 1
    if ((pts[mid] as number) < at) low = mid + 1
    else high = mid
  }
  while (low < next && pts[low + 1] === at) low++
  return pts[low] === at ? low : -1
}
