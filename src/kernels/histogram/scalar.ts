/** Counting in plain TypeScript: what `simd.ts` must equal. */
import type { FloatImage } from '../../core/index.js'
import { BIN_SHIFT, BINS, LOW_BITS } from './bins.js'

/** See `apply.ts`. */
export function countInto(counts: Uint32Array, { data }: FloatImage): void {
  const bits = new Int32Array(data.buffer, data.byteOffset, data.length)
  for (let i = 0; i < data.length; i++) {
    const bin = Math.min(Math.max((bits[i] - LOW_BITS) >> BIN_SHIFT, 0), BINS - 1)
    counts[4 * (Number.isNaN(data[i]) ? BINS : bits[i] < 0 ? 0 : bin) + (i & 3)]++
  }
}
