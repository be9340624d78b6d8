/** Filter weights of one axis of `shrink`. */
import type { AxisTaps } from '../resample/taps.js'

/** What lies beyond the source: `held` counts only what lies in it, `clear` takes the rest for transparent black. */
export type Border = 'held' | 'clear'

/** Taps of output pixels `start` to `start + size − 1`, each over the stretch of the source that it covers. */
export function areaTaps(
  start: number,
  size: number,
  scale: number,
  origin: number,
  sourceSize: number,
  border: Border,
): AxisTaps {
  const n = Math.ceil(1 / scale) + 1
  const first = new Int32Array(size)
  const count = new Int32Array(size)
  const weight = new Float32Array(n * size)
  let low = sourceSize
  let high = 0
  for (let x = 0; x < size; x++) {
    const from = Math.max((start + x - origin) / scale, 0)
    const to = Math.min((start + x + 1 - origin) / scale, sourceSize)
    const covered = to - from
    if (!(covered > LEAST)) continue
    const whole = border === 'held' ? covered : 1 / scale
    let kept = 0
    for (let i = Math.floor(from); i < to && kept < n; i++) {
      const share = Math.min(i + 1, to) - Math.max(i, from)
      if (share <= LEAST) continue
      if (kept === 0) first[x] = i
      weight[n * x + kept++] = share / whole
    }
    count[x] = kept
    low = Math.min(low, first[x])
    high = Math.max(high, first[x] + kept)
  }
  return { n, first, count, weight, low, high }
}

/** Less of a pixel than this comes of rounding. */
const LEAST = 1e-9
