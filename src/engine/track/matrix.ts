import type { Matrix, Place } from '../../vision/index.js'

export const UNMOVED: Matrix = [1, 0, 0, 0, 1, 0, 0, 0, 1]

export function through(m: Matrix, [x, y]: Place): Place {
  const [a = 0, b = 0, c = 0, d = 0, e = 0, f = 0, g = 0, h = 0, i = 1] = m
  const w = g * x + h * y + i
  return [(a * x + b * y + c) / w, (d * x + e * y + f) / w]
}

/** First q, then p. */
export function product(p: Matrix, q: Matrix): Matrix {
  const at = (r: number, c: number) =>
    [0, 1, 2].reduce((sum, k) => sum + (p[3 * r + k] as number) * (q[3 * k + c] as number), 0)
  return whole(Array.from({ length: 9 }, (_, i) => at(Math.floor(i / 3), i % 3)))
}

export function inverseOf(m: Matrix): Matrix {
  const [a = 0, b = 0, c = 0, d = 0, e = 0, f = 0, g = 0, h = 0, i = 0] = m
  return whole([
    e * i - f * h,
    c * h - b * i,
    b * f - c * e,
    f * g - d * i,
    a * i - c * g,
    c * d - a * f,
    d * h - e * g,
    b * g - a * h,
    a * e - b * d,
  ])
}

/** Its last number 1. */
function whole(m: readonly number[]): Matrix {
  return m.map((v) => v / (m[8] as number))
}

export function shift([x, y]: Place): Matrix {
  return [1, 0, x, 0, 1, y, 0, 0, 1]
}

/** How much larger a motion draws what lies around a place: the root of its change of area. */
export function growth(m: Matrix, [x, y]: Place): number {
  const [a, b, c, d] = [through(m, [x - 1, y]), through(m, [x + 1, y]), through(m, [x, y - 1]), through(m, [x, y + 1])]
  return Math.sqrt(Math.abs((b[0] - a[0]) * (d[1] - c[1]) - (b[1] - a[1]) * (d[0] - c[0]))) / 2
}

export function middle(values: readonly number[]): number {
  return values.toSorted((a, b) => a - b)[values.length >> 1] ?? 0
}

export function apart([a, b]: Place, [c, d]: Place): number {
  return Math.sqrt((a - c) ** 2 + (b - d) ** 2)
}
