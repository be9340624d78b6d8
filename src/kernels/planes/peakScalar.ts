import type { FloatImage } from '../../core/index.js'

/** `peak.ts` in plain TypeScript: what `simd.ts` must equal to the bit. */
export function holdToPeak({ data }: FloatImage, before: FloatImage, touched: Uint8Array): void {
  for (let p = 0; p < touched.length; p++) {
    if (touched[p] === 0) continue
    for (let i = 4 * p; i < 4 * p + 3; i++) {
      // NaN, and −0, become 0.
      const own = before.data[i] || 0
      const [low, high] = [Math.min(own, 0), Math.max(own, 1)]
      if (data[i] < low) data[i] = low
      else if (data[i] > high) data[i] = high
    }
  }
}
