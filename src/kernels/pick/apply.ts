/** Samples of one component out of interleaved ones, bit for bit; big-endian words are turned round. */
import { duringScratch, memory, takeBytes, words } from '../wasm/memory.js'
import { simd } from '../wasm/module.js'

/** How a component lies among others. */
export interface Interleaved {
  /** Bytes a sample. */
  readonly size: 1 | 2 | 4
  /** Samples from one of the component to its next. */
  readonly step: 1 | 2 | 3 | 4
  /** Samples before its first, less than `step`. */
  readonly offset: number
  /** The most significant byte comes first. */
  readonly swap: boolean
  /** Bits that words of 16 are moved down. */
  readonly shift: number
}

/** Bytes worked on together, so that they stay near the processor. */
const PIECE = 2 ** 17

/**
 * The component's samples, row by row.
 *
 * @param line bytes from one row of `source` to the next; they hold `width` steps, but for what the last lacks behind it
 */
export function pickSamples(
  source: Uint8Array,
  line: number,
  lies: Interleaved,
  width: number,
  height: number,
): Uint8Array {
  const row = lies.size * width
  const out = new Uint8Array(row * height)
  duringScratch(() => {
    const tables = words(tablesFor(lies))
    const strip = Math.max(1, Math.floor(PIECE / line))
    const picked = takeBytes(row * strip)
    for (let y = 0; y < height; y += strip) {
      const rows = Math.min(strip, height - y)
      duringScratch(() => {
        const from = words(source.subarray(line * y, line * (y + rows)))
        for (let j = 0; j < rows; j++) {
          simd.pickRow(from + line * j, row, lies.step, tables, lies.shift, picked + row * j)
        }
      })
      out.set(new Uint8Array(memory.buffer, picked, row * rows), row * y)
    }
  })
  return out
}

/** For each sixteen bytes that `step` samples lie in, where those of the result are; 255 elsewhere. */
function tablesFor({ size, step, offset, swap }: Interleaved): Uint8Array {
  const tables = new Uint8Array(16 * step).fill(255)
  for (let i = 0; i < 16; i++) {
    const byte = swap ? size - 1 - (i % size) : i % size
    const at = size * (step * Math.floor(i / size) + offset) + byte
    tables[16 * (at >> 4) + i] = at & 15
  }
  return tables
}
