/**
 * OpenEXR scan-line files of half floats, ZIP compressed in blocks of 16 lines. Written here because the codec
 * library's encoder keeps no chromaticities and rounds halves by cutting off.
 *
 * Layout: magic, version 2, attributes, one offset a block, blocks of (first line, size, data). A block holds its lines
 * one after another, each channel by channel in the order of names (A, B, G, R). Before Deflate its bytes are split
 * into those at even and at odd places, and each becomes its difference from the one before, plus 128; a block that
 * does not shrink is stored as it was. Source: [openexr-layout]; chromaticities and whiteLuminance [openexr-attributes].
 */
import { promisify } from 'node:util'
import { deflate } from 'node:zlib'
import { chromaticities } from '../../colour/index.js'
import type { NativeFrame, Primaries } from '../../core/index.js'
import { type HalfFaults, splitBytes, toHalves } from '../../kernels/index.js'
import { packTimecode } from '../timecode.js'
import type { Rate } from '../types.js'

const LINES = 16
const ZIP = 3
const HALF = 1
/** Beyond this, Deflate takes much longer than it gains on pictures with grain. */
const LEVEL = 4
const compress = promisify(deflate)

export interface ExrFacts {
  readonly primaries: Primaries
  readonly rate: Rate
  readonly pixelAspect: Rate
  readonly timecode?: string
}

/**
 * Bytes of a file for planes R, G, B (, A) of float light. Reads the planes before its first wait.
 * Bytes depend on the Deflate library's version; pixels never do.
 */
export async function exrFile(frame: NativeFrame, facts: ExrFacts, faults: HalfFaults): Promise<Buffer> {
  const raw: Uint8Array[] = []
  for (let y = 0; y < frame.height; y += LINES) raw.push(rawBlock(frame, y, faults))
  const shrinking: Promise<Uint8Array>[] = []
  for (const block of raw) {
    const job = shrink(block)
    job.catch(() => undefined) // Seen below.
    shrinking.push(job)
    // Others get the thread in between: a signal to stop must not wait for a whole picture.
    if (shrinking.length % 8 === 0) await new Promise((done) => setImmediate(done))
  }
  const blocks = await Promise.all(shrinking)
  const head = header(frame, facts)
  const offsets = Buffer.alloc(8 * blocks.length)
  const parts: Uint8Array[] = [head, offsets]
  let at = head.length + offsets.length
  blocks.forEach((block, i) => {
    offsets.writeBigUInt64LE(BigInt(at), 8 * i)
    const lead = Buffer.alloc(8)
    lead.writeInt32LE(i * LINES, 0)
    lead.writeInt32LE(block.length, 4)
    parts.push(lead, block)
    at += lead.length + block.length
  })
  return Buffer.concat(parts)
}

/** Plane indices in the order of channel names. */
function channels(frame: NativeFrame): readonly (readonly [string, number])[] {
  const rgb = [
    ['B', 2],
    ['G', 1],
    ['R', 0],
  ] as const
  return frame.layout.alpha ? [['A', 3], ...rgb] : rgb
}

function rawBlock(frame: NativeFrame, top: number, faults: HalfFaults): Uint8Array {
  const { width } = frame
  const list = channels(frame)
  const lines = Math.min(LINES, frame.height - top)
  const out = new Uint16Array(lines * list.length * width)
  let at = 0
  for (let y = top; y < top + lines; y++) {
    for (const [, plane] of list) {
      const data = frame.planes[plane]?.data as Float32Array
      toHalves(data, y * width, width, out.subarray(at, at + width), faults)
      at += width
    }
  }
  return new Uint8Array(out.buffer)
}

/** A block of lines as the file holds it. */
export async function shrink(raw: Uint8Array): Promise<Uint8Array> {
  const packed = await compress(splitBytes(raw), { level: LEVEL })
  return packed.length < raw.length ? packed : raw
}

function header(frame: NativeFrame, { primaries, rate, pixelAspect, timecode }: ExrFacts): Buffer {
  const { width, height } = frame
  const window = ints(0, 0, width - 1, height - 1)
  const word = timecode === undefined ? undefined : packTimecode(timecode, rate)
  const channel = ([name]: readonly [string, number]) => [text(name), ints(HALF, 0, 1, 1)]
  const attributes: (readonly [string, string, Buffer])[] = [
    ['channels', 'chlist', Buffer.concat([...channels(frame).flatMap(channel), Buffer.alloc(1)])],
    ['chromaticities', 'chromaticities', floats(...xyValues(primaries))],
    ['compression', 'compression', Buffer.from([ZIP])],
    ['dataWindow', 'box2i', window],
    ['displayWindow', 'box2i', window],
    ['framesPerSecond', 'rational', ints(rate.num, rate.den)],
    ['lineOrder', 'lineOrder', Buffer.alloc(1)],
    ['pixelAspectRatio', 'float', floats(pixelAspect.num / pixelAspect.den)],
    ['screenWindowCenter', 'v2f', floats(0, 0)],
    ['screenWindowWidth', 'float', floats(1)],
    // Room for 32 user bits behind the time.
    ...(word === undefined ? [] : [['timeCode', 'timecode', ints(word | 0, 0)] as const]),
  ]
  const parts = attributes.flatMap(([name, type, value]) => [
    text(name),
    text(type),
    ints(value.length),
    value,
  ])
  return Buffer.concat([Buffer.from([0x76, 0x2f, 0x31, 0x01, 2, 0, 0, 0]), ...parts, Buffer.alloc(1)])
}

/** Red, green, blue, white as x, y; CIE XYZ itself has its primaries at the corners and an equal-energy white. */
function xyValues(primaries: Primaries): number[] {
  if (primaries === 'xyz') return [1, 0, 0, 1, 0, 0, 1 / 3, 1 / 3]
  const c = typeof primaries === 'string' ? chromaticities[primaries] : primaries
  return [...c.red, ...c.green, ...c.blue, ...c.white]
}

export const text = (s: string) => Buffer.from(`${s}\0`, 'latin1')

export function ints(...values: number[]): Buffer {
  const out = Buffer.alloc(4 * values.length)
  for (const [i, v] of values.entries()) out.writeInt32LE(v, 4 * i)
  return out
}

export function floats(...values: number[]): Buffer {
  const out = Buffer.alloc(4 * values.length)
  for (const [i, v] of values.entries()) out.writeFloatLE(v, 4 * i)
  return out
}
