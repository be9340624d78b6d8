/**
 * A motion in the picture as a matrix: what lies at (x, y) on the reference frame lies at (x′, y′) on another.
 *
 *   w·(x′, y′, 1)ᵀ = M·(x, y, 1)ᵀ        M  3 × 3, row by row, its last number 1
 *
 * Pixels with edges at whole numbers, right and down. Source: [hartley2004 §2.3].
 */
import { invert3, type Matrix3, multiply3 } from '../../../colour/index.js'
import { Problem } from '../../../core/index.js'

export type { Matrix3 }
export type Place = readonly [number, number]

export const IDENTITY: Matrix3 = [1, 0, 0, 0, 1, 0, 0, 0, 1]

/** `after` follows `first`: M = after·first, its last number 1. */
export function chained(after: Matrix3, first: Matrix3): Matrix3 {
  return normalised(multiply3(after, first))
}

/**
 * The way back.
 *
 * @throws Problem `place.motion-flat` where the motion presses the picture into a line or a point
 */
export function inverse(m: Matrix3): Matrix3 {
  const back = invert3(m)
  return back.every(Number.isFinite) ? normalised(back) : flat(m)
}

/**
 * The same motion with 1 as its last number.
 *
 * @throws Problem `place.motion-flat` where that number is 0 (the picture's corner is carried to infinity) or not finite
 */
export function normalised(m: readonly number[]): Matrix3 {
  const last = m[8] as number
  const scaled = m.map((v) => v / last)
  if (m.length !== 9 || !scaled.every(Number.isFinite)) flat(m)
  return scaled as unknown as Matrix3
}

function flat(m: readonly number[]): never {
  throw new Problem({
    code: 'place.motion-flat',
    what: 'This matrix is not the motion of a picture',
    expected: 'nine numbers that can be inverted, the last one not 0',
    received: m.join(' '),
  })
}

/** Where (x, y) is carried; not finite on the line that goes to infinity. */
export function at(m: Matrix3, x: number, y: number): [number, number] {
  const w = m[6] * x + m[7] * y + m[8]
  return [(m[0] * x + m[1] * y + m[2]) / w, (m[3] * x + m[4] * y + m[5]) / w]
}

/** Least part of a turn and of a slant that shows over a whole picture. */
const NO_SHEAR = 1e-7

/** Whether a motion only moves, turns and scales; its last number is 1. */
export function isSimilarity([a = 0, b = 0, , c = 0, d = 0, , g = 0, h = 0]: readonly number[]): boolean {
  return Math.max(Math.abs(a - d), Math.abs(b + c), Math.abs(g), Math.abs(h)) < NO_SHEAR
}

/** How a step at (x, y) is carried: ∂x′/∂x, ∂x′/∂y, ∂y′/∂x, ∂y′/∂y. */
export function slopeAt(m: Matrix3, x: number, y: number): [number, number, number, number] {
  const w = m[6] * x + m[7] * y + m[8]
  const [u, v] = at(m, x, y)
  return [(m[0] - u * m[6]) / w, (m[1] - u * m[7]) / w, (m[3] - v * m[6]) / w, (m[4] - v * m[7]) / w]
}

/** Moves by (dx, dy). */
export function shift(dx: number, dy: number): Matrix3 {
  return [1, 0, dx, 0, 1, dy, 0, 0, 1]
}
