/**
 * How a motion depends on its parameters, in coordinates about a middle (fit.ts): where (x, y) is carried, and by how much that
 * changes with each parameter.
 *
 *   translation  2  u = x + p₀                         v = y + p₁
 *   similarity   4  u = p₀x − p₁y + p₂                 v = p₁x + p₀y + p₃
 *   affine       6  u = p₀x + p₁y + p₂                 v = p₃x + p₄y + p₅
 *   homography   8  u = (p₀x + p₁y + p₂) / w           v = (p₃x + p₄y + p₅) / w        w = p₆x + p₇y + 1
 *   rotation     3  (u, v, 1) ~ R·(x, y, 1), x and y in focal lengths from the lens's middle; R a unit quaternion p (rotation.ts)
 *
 * Source: [hartley2004 §2.4].
 */
import type { Matrix3 } from '../matrix.js'
import { directHomography } from './homography.js'
import type { Pairs } from './pairs.js'
import { nearestTurn, turned, turnMatrix, turnRow } from './rotation.js'

export interface Model {
  readonly name: 'translation' | 'rotation' | 'similarity' | 'affine' | 'homography'
  /** Numbers that are free. */
  readonly free: number
  /** Pairs that it needs at least. */
  readonly least: number
  /** Where the search begins; undefined where the pairs do not settle it. */
  readonly begin: (pairs: Pairs) => readonly number[] | undefined
  readonly matrix: (p: readonly number[]) => Matrix3
  /** Writes u, v, then ∂u/∂p, then ∂v/∂p. */
  readonly row: (p: readonly number[], x: number, y: number, out: Float64Array) => void
  readonly step: (p: readonly number[], by: ArrayLike<number>) => readonly number[]
}

const added = (p: readonly number[], by: ArrayLike<number>) => p.map((v, i) => v + (by[i] as number))

export const translation: Model = {
  name: 'translation',
  free: 2,
  least: 1,
  begin: () => [0, 0],
  matrix: (p) => [1, 0, p[0] as number, 0, 1, p[1] as number, 0, 0, 1],
  row: (p, x, y, out) => {
    out[0] = x + (p[0] as number)
    out[1] = y + (p[1] as number)
    out[2] = out[5] = 1
    out[3] = out[4] = 0
  },
  step: added,
}

export const similarity: Model = {
  name: 'similarity',
  free: 4,
  least: 2,
  begin: () => [1, 0, 0, 0],
  matrix: ([a, b, x, y]) => [a, -(b as number), x, b, a, y, 0, 0, 1] as Matrix3,
  row: (p, x, y, out) => {
    const [a, b] = [p[0] as number, p[1] as number]
    out[0] = a * x - b * y + (p[2] as number)
    out[1] = b * x + a * y + (p[3] as number)
    out[2] = out[7] = x
    out[3] = -y
    out[6] = y
    out[4] = out[9] = 1
    out[5] = out[8] = 0
  },
  step: added,
}

export const affine: Model = {
  name: 'affine',
  free: 6,
  least: 3,
  begin: () => [1, 0, 0, 0, 1, 0],
  matrix: (p) => [...p, 0, 0, 1] as unknown as Matrix3,
  row: (p, x, y, out) => {
    out.fill(0)
    out[0] = (p[0] as number) * x + (p[1] as number) * y + (p[2] as number)
    out[1] = (p[3] as number) * x + (p[4] as number) * y + (p[5] as number)
    out[2] = out[11] = x
    out[3] = out[12] = y
    out[4] = out[13] = 1
  },
  step: added,
}

export const homography: Model = {
  name: 'homography',
  free: 8,
  least: 4,
  begin: (pairs) => directHomography(pairs)?.slice(0, 8),
  matrix: (p) => [...p, 1] as unknown as Matrix3,
  row: (p, x, y, out) => {
    out.fill(0)
    const w = 1 / ((p[6] as number) * x + (p[7] as number) * y + 1)
    const u = ((p[0] as number) * x + (p[1] as number) * y + (p[2] as number)) * w
    const v = ((p[3] as number) * x + (p[4] as number) * y + (p[5] as number)) * w
    out[0] = u
    out[1] = v
    out[2] = out[13] = x * w
    out[3] = out[14] = y * w
    out[4] = out[15] = w
    out[8] = -u * x * w
    out[9] = -u * y * w
    out[16] = -v * x * w
    out[17] = -v * y * w
  },
  step: added,
}

export const rotation: Model = {
  name: 'rotation',
  free: 3,
  least: 2,
  begin: nearestTurn,
  matrix: turnMatrix,
  row: turnRow,
  step: turned,
}

export const MODELS = { translation, rotation, similarity, affine, homography } as const
