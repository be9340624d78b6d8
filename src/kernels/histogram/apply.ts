/**
 * How often each level comes in a picture's channels: 1024 bins, 64 an octave from 2⁻¹² to 2⁴. What is less, negative
 * too, counts in the first, what is more in the last; NaN is counted apart.
 *
 * Counts are whole numbers: pictures, bands and threads may be counted each on its own and added, in any order. A
 * percentile is read between the ends of its bin by a straight line: within 1/64 of itself from 2⁻¹² on.
 *
 * Source: common practice.
 */
import type { FloatImage } from '../../core/index.js'
import { at } from '../wasm/images.js'
import { simd } from '../wasm/module.js'
import { BINS, binStart, SLOTS } from './bins.js'

/** Counts of an RGBA picture's four channels: four numbers a bin. */
export type Histogram = Uint32Array

export function newHistogram(): Histogram {
  return new Uint32Array(4 * SLOTS)
}

/** Adds a picture's values to the counts. */
export function countInto(counts: Histogram, { data }: FloatImage): void {
  const bytes = new Uint8Array(counts.buffer, counts.byteOffset, counts.byteLength)
  at(bytes, true, (to) => at(data, false, (from) => simd.countPixels(from, data.length >> 2, to)))
}

/** Level below which a share `q` (0 to 1) of a channel's numbers lies; NaN where there are none. */
export function percentile(counts: Histogram, channel: 0 | 1 | 2 | 3, q: number): number {
  let all = 0
  for (let bin = 0; bin < BINS; bin++) all += counts[4 * bin + channel]
  if (all === 0) return Number.NaN
  const wanted = Math.min(Math.max(q, 0), 1) * all
  let below = 0
  for (let bin = 0; bin < BINS; bin++) {
    const here = counts[4 * bin + channel]
    if (here > 0 && below + here >= wanted) {
      const start = binStart(bin)
      return start + ((binStart(bin + 1) - start) * (wanted - below)) / here
    }
    below += here
  }
  return binStart(BINS)
}
