/** Symmetric 3×3 matrices as six numbers: the diagonal, then 01, 02, 12. Tables of a pixel's three channels, by hand for speed. */
import type { Rgb } from '../../../core/index.js'

export type Symmetric = readonly [number, number, number, number, number, number]

export function inverse([a, d, f, b, c, e]: Symmetric): Symmetric {
  const [x, y, z] = [d * f - e * e, c * e - b * f, b * e - c * d]
  const det = a * x + b * y + c * z
  return [x / det, (a * f - c * c) / det, (a * d - b * b) / det, y / det, z / det, (b * c - a * e) / det]
}

export function times([a, d, f, b, c, e]: Symmetric, [x, y, z]: Rgb): [number, number, number] {
  return [a * x + b * y + c * z, b * x + d * y + e * z, c * x + e * y + f * z]
}

/** s + k·t */
export function plus(s: Symmetric, t: Symmetric, k: number): Symmetric {
  return [
    s[0] + k * t[0],
    s[1] + k * t[1],
    s[2] + k * t[2],
    s[3] + k * t[3],
    s[4] + k * t[4],
    s[5] + k * t[5],
  ]
}
