/**
 * The light across an edge: pixels of a turned rectangle, put into bins of half a pixel by their distance from the edge's line.
 *
 * Averaging along the edge takes the noise and a codec's grid out, and pixels that lie at all distances show the edge finer than
 * they stand apart. Source: [iso12233], there with bins of a quarter.
 */
import type { Window } from '../spectrum/polar.js'
import type { Place } from './find.js'

export const BIN = 0.5

export interface Profile {
  /** Middle of each bin's pixels, px from the place along its normal. */
  readonly s: Float64Array
  readonly value: Float64Array
}

export interface ScatteredProfile extends Profile {
  /** Standard deviation of each bin's pixels along the edge. */
  readonly scatter: Float64Array
}

/**
 * @param across px to either side; @param along half the length of the edge that is averaged
 * @param filled share of the bins that must hold pixels: an edge along rows or columns fills every other one alone
 */
export function profileAt(
  { width, values }: Window,
  { x, y, nx, ny }: Place,
  across: number,
  along: number,
  filled = 0.8,
): ScatteredProfile | undefined {
  const n = Math.round((2 * across) / BIN)
  const [count, s, v, vv] = [0, 0, 0, 0].map(() => new Float64Array(n)) as [
    Float64Array,
    Float64Array,
    Float64Array,
    Float64Array,
  ]
  const reach = Math.ceil(Math.hypot(across, along))
  for (let j = -reach; j <= reach; j++)
    for (let i = -reach; i <= reach; i++) {
      const d = i * nx + j * ny
      if (Math.abs(d) >= across || Math.abs(i * ny - j * nx) > along) continue
      const bin = Math.floor((d + across) / BIN)
      const value = values[(y + j) * width + x + i] as number
      count[bin]! += 1
      s[bin]! += d
      v[bin]! += value
      vv[bin]! += value * value
    }
  const kept = [...count.keys()].filter((b) => (count[b] as number) >= 2)
  if (kept.length < filled * n) return undefined
  const mean = (of: Float64Array) => Float64Array.from(kept, (b) => of[b]! / count[b]!)
  const value = mean(v)
  const scatter = mean(vv).map((m, i) => Math.sqrt(Math.max(m - value[i]! ** 2, 0)))
  return { s: mean(s), value, scatter }
}
