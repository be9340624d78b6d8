/** Picking samples in plain TypeScript: what `simd.ts` must equal to the bit. */
import type { Interleaved } from './apply.js'

/** See `apply.ts`. */
export function pickSamples(
  source: Uint8Array,
  line: number,
  { size, step, offset, swap, shift }: Interleaved,
  width: number,
  height: number,
): Uint8Array {
  const out = new Uint8Array(size * width * height)
  const words = new DataView(out.buffer)
  for (let y = 0, o = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const at = line * y + size * (step * x + offset)
      for (let b = 0; b < size; b++, o++) out[o] = source[at + (swap ? size - 1 - b : b)]
      if (shift > 0) words.setUint16(o - 2, words.getUint16(o - 2, true) >>> shift, true)
    }
  }
  return out
}
