/**
 * A DWA block to plain lines. Its head is eleven uint64 (version; sizes of the parts; how the coefficients are packed), the
 * rules, then four parts: what no rule names (Deflate), coefficients (Huffman or Deflate), block means (Deflate of
 * differences), run-lengths (Deflate). Written here because the codec library reads most of such files wrongly.
 * Source: [openexr-dwa].
 */

import { toHalves } from '../../../../kernels/index.js'
import { halfToFloat } from '../../../half.js'
import type { ExrChannel } from '../attributes.js'
import { inflate, undoDifferences, undoRuns } from '../unpack/bytes.js'
import { inverseDct, linearTable, toRgb } from './dct.js'
import { decodeHuffman } from './huffman.js'
import { oldRules, readRules, type Stored, storedAs } from './rules.js'

interface Parts {
  readonly unknown: Buffer
  readonly coefficients: Uint16Array
  readonly means: Uint16Array
  readonly runs: Buffer
  readonly stored: readonly Stored[]
}

export const sampleBytes = { uint: 4, half: 2, float: 4 } as const

/** What a block holds of a channel: samples in a line, and lines. */
interface Size {
  readonly width: number
  readonly rows: number
}

/** Each channel's samples, line by line, little-endian. @throws RangeError, zlib's errors */
export function expandDwa(block: Buffer, channels: readonly ExrChannel[], sizes: readonly Size[]): Buffer[] {
  const planes = channels.map((c, i) => {
    const { width, rows } = sizes[i] as Size
    return Buffer.alloc(width * rows * sampleBytes[c.type])
  })
  const parts = partsOf(
    block,
    channels,
    sizes,
    planes.reduce((n, p) => n + p.length, 0),
  )
  const at = { coefficients: 0, means: 0, unknown: 0, runs: 0 }
  const done = new Set<number>()
  for (const set of colourSets(channels, parts.stored)) {
    fillDct(parts, at, set, { channels, planes, ...(sizes[set[0] as number] as Size) })
    for (const i of set) done.add(i)
  }
  for (const [i, plane] of planes.entries()) {
    if (done.has(i)) continue
    const { scheme } = parts.stored[i] as Stored
    if (scheme === 'dct') fillDct(parts, at, [i], { channels, planes, ...(sizes[i] as Size) })
    else if (scheme === 'unknown')
      at.unknown += parts.unknown.copy(plane, 0, at.unknown, at.unknown + plane.length)
    else at.runs += joinBytes(parts.runs.subarray(at.runs), plane, sizes[i] as Size)
  }
  return planes
}

function partsOf(block: Buffer, channels: readonly ExrChannel[], sizes: readonly Size[], raw: number): Parts {
  const head = Array.from({ length: 11 }, (_, i) => Number(block.readBigUInt64LE(8 * i)))
  const [
    version,
    unknownSize,
    unknownPacked,
    acPacked,
    dcPacked,
    rlePacked,
    rleSize,
    rleRaw,
    acCount,
    dcCount,
    how,
  ] = head as [number, number, number, number, number, number, number, number, number, number, number]
  const { rules, end } = version < 2 ? { rules: oldRules, end: 88 } : readRules(block, 88)
  const most = sizes.reduce((n, s) => n + 64 * Math.ceil(s.width / 8) * Math.ceil(s.rows / 8), 0)
  if (Math.max(unknownSize, rleRaw) > raw || rleSize > 2 * raw || Math.max(acCount, 64 * dcCount) > most)
    throw new RangeError('a DWA block that would be larger than its picture')
  let at = end
  const next = (size: number) => {
    if (at + size > block.length) throw new RangeError('a DWA block cut short')
    at += size
    return block.subarray(at - size, at)
  }
  const unknown = inflate(next(unknownPacked), unknownSize)
  const ac = next(acPacked)
  const coefficients = how === 0 ? decodeHuffman(ac, acCount) : words(inflate(ac, 2 * acCount))
  const means = words(undoDifferences(inflate(next(dcPacked), 2 * dcCount)))
  const runs = undoRuns(inflate(next(rlePacked), rleSize), rleRaw)
  return { unknown, coefficients, means, runs, stored: channels.map((c) => storedAs(c, rules)) }
}

/** Indices of R, G, B of each layer that has all three. */
function colourSets(channels: readonly ExrChannel[], stored: readonly Stored[]): number[][] {
  const sets = new Map<string, number[]>()
  for (const [i, { name }] of channels.entries()) {
    const { scheme, place } = stored[i] as Stored
    if (scheme !== 'dct' || place < 0 || place > 2) continue
    const layer = name.slice(0, name.lastIndexOf('.') + 1)
    const set = sets.get(layer) ?? []
    set[place] = i
    sets.set(layer, set)
  }
  return [...sets.values()].filter((s) => [0, 1, 2].every((k) => s[k] !== undefined))
}

interface Target {
  readonly channels: readonly ExrChannel[]
  readonly planes: readonly Buffer[]
  readonly width: number
  readonly rows: number
}

/** One channel, or three that share their colour. Moves `at` on. */
function fillDct(
  { coefficients, means }: Parts,
  at: { coefficients: number; means: number },
  set: readonly number[],
  { channels, planes, width, rows }: Target,
): void {
  const [wide, high] = [Math.ceil(width / 8), Math.ceil(rows / 8)]
  const values = set.map(() => new Float32Array(64))
  const zig = new Uint16Array(64)
  const halves = new Uint16Array(64)
  const faults = { notANumber: 0, beyondHalf: 0 }
  for (let b = 0; b < wide * high; b++) {
    for (const [k, block] of values.entries()) {
      zig.fill(0)
      const mean = means[at.means + k * wide * high + b]
      if (mean === undefined) throw new RangeError('DWA block means cut short')
      zig[0] = mean
      const { used, next } = unpackRun(coefficients, at.coefficients, zig)
      at.coefficients = next
      inverseDct(zig, used, block)
    }
    if (values.length === 3) toRgb(...(values as [Float32Array, Float32Array, Float32Array]))
    for (const [k, i] of set.entries()) {
      const channel = channels[i] as ExrChannel
      toHalves(values[k] as Float32Array, 0, 64, halves, faults)
      const linear = channel.linear && set.length === 1 ? undefined : linearTable()
      const [x0, y0] = [8 * (b % wide), 8 * Math.floor(b / wide)]
      for (let y = y0; y < Math.min(y0 + 8, rows); y++) {
        for (let x = x0; x < Math.min(x0 + 8, width); x++) {
          const own = halves[8 * (y - y0) + x - x0] as number
          const half = linear === undefined ? own : (linear[own] as number)
          const place = y * width + x
          if (channel.type === 'half') (planes[i] as Buffer).writeUInt16LE(half, 2 * place)
          else (planes[i] as Buffer).writeFloatLE(halfToFloat(half), 4 * place)
        }
      }
    }
  }
  at.means += set.length * wide * high
}

/** Coefficients 1 to 63: words 0xff00 + n leave out n, 0xff00 itself all that are left. */
function unpackRun(from: Uint16Array, start: number, out: Uint16Array): { used: number; next: number } {
  let [at, used] = [start, 1]
  for (let k = 1; k < 64; ) {
    const word = from[at++]
    if (word === undefined) throw new RangeError('DWA coefficients cut short')
    if (word === 0xff00) break
    if (word >> 8 === 0xff) k += word & 255
    else {
      out[k++] = word
      used = k
    }
  }
  return { used, next: at }
}

function words(bytes: Buffer): Uint16Array {
  const own = Uint8Array.from(bytes)
  return new Uint16Array(own.buffer, 0, own.length >> 1)
}

/** All lowest bytes, then all next ones, … to samples. Gives the bytes taken. */
function joinBytes(from: Buffer, plane: Buffer, { width, rows }: Size): number {
  if (from.length < plane.length) throw new RangeError('DWA runs cut short')
  const count = width * rows
  const size = plane.length / count
  for (let b = 0, at = 0; b < size; b++)
    for (let i = 0; i < count; i++) plane[size * i + b] = from[at++] as number
  return plane.length
}
