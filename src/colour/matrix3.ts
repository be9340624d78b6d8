import type { Rgb } from '../core/index.js'

/** Nine numbers, row by row. */
export type Matrix3 = readonly [number, number, number, number, number, number, number, number, number]

export function multiply3(a: Matrix3, b: Matrix3): Matrix3 {
  return [
    a[0] * b[0] + a[1] * b[3] + a[2] * b[6],
    a[0] * b[1] + a[1] * b[4] + a[2] * b[7],
    a[0] * b[2] + a[1] * b[5] + a[2] * b[8],
    a[3] * b[0] + a[4] * b[3] + a[5] * b[6],
    a[3] * b[1] + a[4] * b[4] + a[5] * b[7],
    a[3] * b[2] + a[4] * b[5] + a[5] * b[8],
    a[6] * b[0] + a[7] * b[3] + a[8] * b[6],
    a[6] * b[1] + a[7] * b[4] + a[8] * b[7],
    a[6] * b[2] + a[7] * b[5] + a[8] * b[8],
  ]
}

/** Inverse by cofactors; the matrices of real RGB spaces are never singular. */
export function invert3(m: Matrix3): Matrix3 {
  const a = m[4] * m[8] - m[5] * m[7]
  const b = m[5] * m[6] - m[3] * m[8]
  const c = m[3] * m[7] - m[4] * m[6]
  const d = 1 / (m[0] * a + m[1] * b + m[2] * c)
  return [
    a * d,
    (m[2] * m[7] - m[1] * m[8]) * d,
    (m[1] * m[5] - m[2] * m[4]) * d,
    b * d,
    (m[0] * m[8] - m[2] * m[6]) * d,
    (m[2] * m[3] - m[0] * m[5]) * d,
    c * d,
    (m[1] * m[6] - m[0] * m[7]) * d,
    (m[0] * m[4] - m[1] * m[3]) * d,
  ]
}

export function transform3(m: Matrix3, v: Rgb): Rgb {
  return [
    m[0] * v[0] + m[1] * v[1] + m[2] * v[2],
    m[3] * v[0] + m[4] * v[1] + m[5] * v[2],
    m[6] * v[0] + m[7] * v[1] + m[8] * v[2],
  ]
}
