/**
 * Fewer keys for the same outline: one is needed only where going straight between its neighbours would put a point farther than a
 * tolerance from where it was carried. Both ends are kept; then, while any frame is off by more, the one that is off by most.
 *
 * Source: [douglas1973], with all of an outline's points for one.
 */
import type { Place } from './edge.js'

interface Key {
  readonly frame: number
  readonly points: readonly Place[]
}

/** @param keys forward in time, of as many points each. @param tolerance px. @returns those that are needed, both ends among them */
export function thinned<K extends Key>(keys: readonly K[], tolerance: number): K[] {
  if (keys.length < 3) return [...keys]
  const [first, last] = [keys[0] as K, keys.at(-1) as K]
  let [worst, at] = [tolerance * tolerance, 0]
  for (let k = 1; k < keys.length - 1; k++) {
    const off = farthest(keys[k] as K, first, last)
    if (off > worst) [worst, at] = [off, k]
  }
  if (at === 0) return [first, last]
  return [...thinned(keys.slice(0, at + 1), tolerance).slice(0, -1), ...thinned(keys.slice(at), tolerance)]
}

/** Square of how far the farthest point lies from the straight way between two keys, px². */
function farthest(key: Key, a: Key, b: Key): number {
  const t = (key.frame - a.frame) / (b.frame - a.frame)
  return key.points.reduce((most, [x, y], i) => {
    const [[x0, y0], [x1, y1]] = [a.points[i] as Place, b.points[i] as Place]
    const [dx, dy] = [x0 + t * (x1 - x0) - x, y0 + t * (y1 - y0) - y]
    return Math.max(most, dx * dx + dy * dy)
  }, 0)
}
