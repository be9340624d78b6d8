/**
 * The light across an edge: pixels of a turned rectangle, put into bins of half a pixel by their distance from the edge's line.
 *
 * Averaging along the edge takes the noise and a codec's grid out, and pixels that lie at all distances show the edge finer than
 * they stand apart. Source: [iso12233], there with bins of a quarter.
 */
import type { Window } from '../../../../kernels/index.js'
import type { Place } from './find.js'

export const BIN = 0.5

export interface Profile {
  /** Middle of each bin's pixels, px from the place along its normal. */
  readonly s: Float64Array
  readonly value: Float64Array
}

/** @param across px to either side; @param along half the length of the edge that is averaged */
export function profileAt(
  { width, values }: Window,
  { x, y, nx, ny }: Place,
  across: number,
  along: number,
): Profile | undefined {
  const n = Math.round((2 * across) / BIN)
  const [count, s, v] = [new Float64Array(n), new Float64Array(n), new Float64Array(n)]
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
    }
  const kept = [...count.keys()].filter((b) => (count[b] as number) >= 2)
  if (kept.length < 0.8 * n) return undefined
  const mean = (of: Float64Array) => Float64Array.from(kept, (b) => of[b]! / count[b]!)
  return { s: mean(s), value: mean(v) }
}
