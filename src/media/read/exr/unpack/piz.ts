/**
 * PIZ: the values that occur are numbered, each channel is taken through a Haar wavelet of 16-bit words, and all are Huffman
 * coded. Words of 32-bit channels are two interleaved 16-bit ones. Source: [openexr-piz].
 */
import { decodeHuffman } from '../dwa/huffman.js'
import type { Extent } from './extent.js'

/** Channels one behind the other. @throws RangeError when the data contradicts itself */
export function unpackPiz(data: Buffer, extents: readonly Extent[]): Buffer {
  const [low, high] = [data.readUInt16LE(0), data.readUInt16LE(2)]
  if (high > 8191) throw new RangeError('a PIZ table beyond 16 bits')
  const there = data.subarray(4, 4 + Math.max(0, high - low + 1))
  const { values, most } = valuesOf(there, low)
  const at = 4 + there.length
  const length = data.readInt32LE(at)
  if (length < 0 || at + 4 + length > data.length) throw new RangeError('PIZ data cut short')
  const count = extents.reduce((n, e) => n + (e.width * e.rows * e.bytes) / 2, 0)
  const words = decodeHuffman(data.subarray(at + 4, at + 4 + length), count)
  let start = 0
  for (const { width, rows, bytes } of extents) {
    const step = bytes / 2
    for (let k = 0; k < step; k++) unwave(words, start + k, width, step, rows, most < 1 << 14)
    start += width * rows * step
  }
  for (let i = 0; i < words.length; i++) words[i] = values[words[i] as number] as number
  return Buffer.from(words.buffer)
}

/** Values by their number; 0 is always one. `there` has a bit for each from 8 · `low` on. */
function valuesOf(there: Buffer, low: number) {
  const values = new Uint16Array(65536)
  let count = 1
  for (const [i, byte] of there.entries()) {
    for (let bit = 0; bit < 8; bit++) {
      const value = 8 * (low + i) + bit
      if (value !== 0 && (byte >> bit) & 1) values[count++] = value
    }
  }
  return { values, most: count - 1 }
}

/** Undoes the wavelet in place, from its largest level down. Words of a line lie `step` apart. */
function unwave(
  words: Uint16Array,
  start: number,
  width: number,
  step: number,
  rows: number,
  small: boolean,
): void {
  const line = width * step
  const join = small ? joinSmall : joinWhole
  let span = 1
  while (2 * span <= Math.min(width, rows)) span *= 2
  for (; span >= 2; span /= 2) {
    const half = span / 2
    const [right, down] = [half * step, half * line]
    const [wide, tall] = [Math.floor(width / span) * span, Math.floor(rows / span) * span]
    for (let y = 0; y < tall; y += span) {
      const row = start + y * line
      for (let x = 0; x < wide; x += span) {
        const at = row + x * step
        join(words, at, at + down)
        join(words, at + right, at + down + right)
        join(words, at, at + right)
        join(words, at + down, at + down + right)
      }
      if (width & half) join(words, row + wide * step, row + wide * step + down)
    }
    if (rows & half) {
      const row = start + tall * line
      for (let x = 0; x < wide; x += span) join(words, row + x * step, row + x * step + right)
    }
  }
}

/** Mean and difference of signed words to the two they came from. */
function joinSmall(words: Uint16Array, i: number, j: number): void {
  const difference = ((words[j] as number) << 16) >> 16
  const first = (words[i] as number) + (difference & 1) + (difference >> 1)
  words[i] = first
  words[j] = first - difference
}

/** The same in the ring of 16 bits. */
function joinWhole(words: Uint16Array, i: number, j: number): void {
  const difference = words[j] as number
  const second = (words[i] as number) - (difference >> 1)
  words[j] = second
  words[i] = difference + second - 32768
}
