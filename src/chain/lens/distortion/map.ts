/**
 * Distortion as a map: for places over the picture, where they lie without distortion.
 *
 *   straight(p) = p + Σ B(u − i)·B(v − j)·shift(i, j)      B  Catmull-Rom cubic; beyond the picture the last slope goes on
 *
 *   p  from the picture's middle, right and down, 1 is half its short side      u, v  the same in steps of the nodes
 *   shift  of COLUMNS × ROWS nodes that span the picture from edge to edge, row by row, right and down in turn
 *
 * Lenses bend smoothly: third differences of a shift k·r³ leave less than 1e-3 px between nodes 60 px apart for k = 0.05 at 1080p. The
 * other way is Newton's iteration. Source: [keys1981].
 */
import { foldsOver, LAST_STEP, MOST_STEPS } from './folds.js'

export const COLUMNS = 33
export const ROWS = 19
export const MAP_TERMS = 2 * COLUMNS * ROWS

type Place = readonly [number, number]

/** @param reach half the picture's width and height, in half its short side */
export function mapWays(
  shifts: readonly number[],
  [w, h]: Place,
): {
  readonly straight: (x: number, y: number) => [number, number]
  readonly bent: (x: number, y: number) => [number, number]
} {
  const straight = (x: number, y: number): [number, number] => {
    const u = ((x / w + 1) / 2) * (COLUMNS - 1)
    const v = ((y / h + 1) / 2) * (ROWS - 1)
    const [i, s] = weights(u, COLUMNS)
    const [j, t] = weights(v, ROWS)
    let [dx, dy] = [0, 0]
    for (let b = 0; b < 4; b++) {
      for (let a = 0; a < 4; a++) {
        const k = (s[a] as number) * (t[b] as number)
        dx += k * node(shifts, i + a - 1, j + b - 1, 0)
        dy += k * node(shifts, i + a - 1, j + b - 1, 1)
      }
    }
    return [x + dx, y + dy]
  }
  const bent = (x: number, y: number): [number, number] => {
    const D = 1e-5
    let [p, q] = [x, y]
    for (let step = 0; step < MOST_STEPS; step++) {
      const [u, v] = straight(p, q)
      const [ux, vx] = straight(p + D, q)
      const [uy, vy] = straight(p, q + D)
      const [a, b, c, d] = [(ux - u) / D, (uy - u) / D, (vx - v) / D, (vy - v) / D]
      const area = a * d - b * c
      if (!(area > 0)) break
      const stepX = ((x - u) * d - (y - v) * b) / area
      const stepY = ((y - v) * a - (x - u) * c) / area
      p += stepX
      q += stepY
      if (Math.abs(stepX) + Math.abs(stepY) < LAST_STEP) return [p, q]
    }
    throw foldsOver('a map')
  }
  return { straight, bent }
}

/** The cell, and the weights of the four nodes around it; beyond the nodes the outermost two go on in a line. */
function weights(u: number, count: number): readonly [number, readonly number[]] {
  const i = Math.min(Math.max(Math.floor(u), 0), count - 2)
  const s = u - i
  if (s < 0 || s > 1) return [i, [0, 1 - s, s, 0]]
  const [s2, s3] = [s * s, s * s * s]
  return [i, [(-s + 2 * s2 - s3) / 2, 1 + (-5 * s2 + 3 * s3) / 2, (s + 4 * s2 - 3 * s3) / 2, (s3 - s2) / 2]]
}

/** A node, or one beyond the border: the last three go on as a parabola. */
function node(shifts: readonly number[], i: number, j: number, axis: 0 | 1): number {
  if (i < 0) return 3 * node(shifts, 0, j, axis) - 3 * node(shifts, 1, j, axis) + node(shifts, 2, j, axis)
  if (i >= COLUMNS) {
    const at = (k: number) => node(shifts, COLUMNS - k, j, axis)
    return 3 * at(1) - 3 * at(2) + at(3)
  }
  if (j < 0) return 3 * node(shifts, i, 0, axis) - 3 * node(shifts, i, 1, axis) + node(shifts, i, 2, axis)
  if (j >= ROWS) {
    const at = (k: number) => node(shifts, i, ROWS - k, axis)
    return 3 * at(1) - 3 * at(2) + at(3)
  }
  return shifts[2 * (j * COLUMNS + i) + axis] as number
}

/** Nodes as places, row by row. */
export function nodePlaces([w, h]: Place): [number, number][] {
  return Array.from({ length: COLUMNS * ROWS }, (_, k) => [
    w * ((2 * (k % COLUMNS)) / (COLUMNS - 1) - 1),
    h * ((2 * Math.floor(k / COLUMNS)) / (ROWS - 1) - 1),
  ])
}
