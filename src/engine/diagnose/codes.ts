/**
 * Histogram of a file's code values, luma or R, G and B, over all frames looked at. Whole-number samples only; of a large picture
 * some lines, so that about half a million samples are counted.
 */
import type { NativeFrame, PixelLayout, RangeName } from '../../core/index.js'

const LEAST = 500_000

export class Codes {
  readonly layout: PixelLayout
  readonly counts: readonly Uint32Array[]
  readonly frames: number[] = []

  constructor(layout: PixelLayout) {
    this.layout = layout
    const planes = layout.float ? 0 : layout.family === 'yuv' ? 1 : 3
    this.counts = Array.from({ length: planes }, () => new Uint32Array(2 ** layout.bits))
  }

  add(frame: number, native: NativeFrame): void {
    this.frames.push(frame)
    this.counts.forEach((counts, p) => {
      const { width, height, data } = native.planes[p] as NativeFrame['planes'][number]
      const step = Math.max(1, Math.round((width * height) / LEAST))
      for (let y = 0; y < height; y += step)
        for (let i = y * width; i < (y + 1) * width; i++) {
          const code = data[i] as number
          counts[code] = (counts[code] as number) + 1
        }
    })
  }

  /** Luma of Y′CbCr; of RGB the three planes as one. Without alpha. */
  light(): Uint32Array {
    if (this.layout.family === 'yuv') return this.counts[0] as Uint32Array
    const all = new Uint32Array(2 ** this.layout.bits)
    for (const counts of this.counts.slice(0, 3))
      for (let i = 0; i < all.length; i++) all[i] = (all[i] as number) + (counts[i] as number)
    return all
  }
}

/** Code of black, and codes from there to white. @param bits of the codes */
export function scaleOf(range: RangeName, bits: number): { black: number; span: number } {
  const unit = 2 ** (bits - 8)
  return range === 'limited' ? { black: 16 * unit, span: 219 * unit } : { black: 0, span: 2 ** bits - 1 }
}

/** Share of the samples with lo ≤ code < hi. */
export function shareOf(counts: Uint32Array, lo: number, hi: number): number {
  let inside = 0
  let total = 0
  const [from, to] = [Math.ceil(lo), Math.ceil(hi)]
  for (let i = 0; i < counts.length; i++) {
    const n = counts[i] as number
    total += n
    if (i >= from && i < to) inside += n
  }
  return total === 0 ? 0 : inside / total
}

/** Smallest code that has at least the share `q` of the samples at or below it. */
export function codeAt(counts: Uint32Array, q: number): number {
  let total = 0
  for (const n of counts) total += n
  const wanted = q * total
  let sum = 0
  for (let i = 0; i < counts.length; i++) {
    sum += counts[i] as number
    if (sum >= wanted && sum > 0) return i
  }
  return counts.length - 1
}
