import { at, type Matrix3 } from '../../chain/place/motion/matrix.js'
import type { Place } from '../../vision/index.js'

export function through(m: Matrix3, [x, y]: Place): Place {
  return at(m, x, y)
}

/** How much larger a motion draws what lies around a place: the root of its change of area. */
export function growth([a, b, c, d]: readonly [number, number, number, number]): number {
  return Math.sqrt(Math.abs(a * d - b * c))
}

export function middle(values: readonly number[]): number {
  return values.toSorted((a, b) => a - b)[values.length >> 1] ?? 0
}

export function apart([a, b]: Place, [c, d]: Place): number {
  return Math.sqrt((a - c) ** 2 + (b - d) ** 2)
}
