/**
 * Grain of a patch: what is left of it when the clean patch is taken away, where the clean one is flat.
 *
 *   σ    deviation, codes of 8 bits      h, v   correlation with the next sample across and down, of the plane's own samples
 */
import type { Plane } from './planes.js'

export interface Grain {
  readonly sigma: number
  readonly h: number
  readonly v: number
  readonly samples: number
}

/** A third of the samples by each one's own slope in the clean patch, which is the flattest; 1 where it is. */
export function flatOf({ width, height, data }: Plane, share: number): Uint8Array {
  const slope = new Float32Array(data.length)
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      let most = 0
      const here = data[y * width + x]!
      for (let j = Math.max(0, y - 2); j <= Math.min(height - 1, y + 2); j++)
        for (let i = Math.max(0, x - 2); i <= Math.min(width - 1, x + 2); i++)
          most = Math.max(most, Math.abs(data[j * width + i]! - here))
      slope[y * width + x] = most
    }
  }
  const limit = slope.slice().sort()[Math.floor(share * (slope.length - 1))]!
  return Uint8Array.from(slope, (s) => (s <= limit ? 1 : 0))
}

/** @param factor by what the variance is to be multiplied, for what the mean took of it */
export function grainOf(
  noisy: readonly Plane[],
  clean: readonly Plane[],
  flat: readonly Uint8Array[],
  factor: number,
): Grain {
  let [n, sum, square, nh, h, nv, v] = [0, 0, 0, 0, 0, 0, 0]
  noisy.forEach(({ width, height, data }, f) => {
    const d = Float32Array.from(data, (a, i) => a - clean[f]!.data[i]!)
    const mask = flat[f]!
    let [own, count] = [0, 0]
    for (let i = 0; i < d.length; i++) if (mask[i] === 1) [own, count] = [own + d[i]!, count + 1]
    const mean = own / Math.max(count, 1)
    for (let y = 0; y < height; y++) {
      for (let x = 0; x < width; x++) {
        const i = y * width + x
        if (mask[i] !== 1) continue
        const a = d[i]! - mean
        n++
        sum += a
        square += a * a
        if (x + 1 < width && mask[i + 1] === 1) [h, nh] = [h + a * (d[i + 1]! - mean), nh + 1]
        if (y + 1 < height && mask[i + width] === 1) [v, nv] = [v + a * (d[i + width]! - mean), nv + 1]
      }
    }
  })
  const variance = square / Math.max(n, 1) - (sum / Math.max(n, 1)) ** 2
  return { sigma: Math.sqrt(factor * variance), h: h / nh / variance, v: v / nv / variance, samples: n }
}
