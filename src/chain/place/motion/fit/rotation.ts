/**
 * A camera that only turns: what it sees is carried by H = K·R·K⁻¹, whatever the distances. Here in focal lengths from the middle
 * of the lens, where K is 1: the ray (x, y, 1) becomes R·(x, y, 1) = (a, b, c), seen at (a/c, b/c).
 *
 *   R  as a unit quaternion (w, x, y, z); a small turn δ (rad, about right, down, ahead) comes after it: (1, δ/2)·q, made unit
 *   ∂(a, b, c)/∂δ = −[(a, b, c)]×
 *
 * Source: [hartley2004 §8.4.2] for H; [arun1987] for the nearest turn of two sets of rays, with a mirror image avoided.
 * Linear algebra: ml-matrix (SVD).
 */
import { determinant, Matrix, SingularValueDecomposition } from 'ml-matrix'
import type { Matrix3 } from '../matrix.js'
import type { Pairs } from './pairs.js'

type Quaternion = readonly [number, number, number, number]

/** Unit quaternion of the turn that carries the rays best, in the mean of squares of their directions. */
export function nearestTurn({ from, to, weight }: Pairs): readonly number[] {
  const sum = Matrix.zeros(3, 3)
  for (let k = 0; k < weight.length; k++) {
    const a = ray(from, k)
    const b = ray(to, k)
    for (let i = 0; i < 3; i++)
      for (let j = 0; j < 3; j++)
        sum.set(i, j, sum.get(i, j) + (weight[k] as number) * (b[i] as number) * (a[j] as number))
  }
  const svd = new SingularValueDecomposition(sum)
  const [u, v] = [svd.leftSingularVectors, svd.rightSingularVectors]
  const mirror = determinant(u) * determinant(v) < 0 ? -1 : 1
  const r = u.mmul(Matrix.diag([1, 1, mirror])).mmul(v.transpose())
  return quaternionOf(r.to1DArray())
}

function ray(places: Float64Array, k: number): [number, number, number] {
  const [x, y] = [places[2 * k] as number, places[2 * k + 1] as number]
  const scale = 1 / Math.sqrt(x * x + y * y + 1)
  return [x * scale, y * scale, scale]
}

/** Of a turn's matrix, row by row; for turns below half a circle. */
function quaternionOf(r: readonly number[]): Quaternion {
  const [a, b, c, d, e, f, g, h, i] = r as [
    number,
    number,
    number,
    number,
    number,
    number,
    number,
    number,
    number,
  ]
  return unit([1 + a + e + i, h - f, c - g, d - b])
}

function unit(q: Quaternion): Quaternion {
  const length = Math.sqrt(q[0] * q[0] + q[1] * q[1] + q[2] * q[2] + q[3] * q[3])
  return [q[0] / length, q[1] / length, q[2] / length, q[3] / length]
}

export function turned(p: readonly number[], by: ArrayLike<number>): readonly number[] {
  const [w, x, y, z] = p as Quaternion
  const [i, j, k] = [(by[0] as number) / 2, (by[1] as number) / 2, (by[2] as number) / 2]
  return unit([
    w - i * x - j * y - k * z,
    x + i * w + j * z - k * y,
    y + j * w + k * x - i * z,
    z + k * w + i * y - j * x,
  ])
}

export function turnMatrix(p: readonly number[]): Matrix3 {
  const [w, x, y, z] = p as Quaternion
  return [
    1 - 2 * (y * y + z * z),
    2 * (x * y - w * z),
    2 * (x * z + w * y),
    2 * (x * y + w * z),
    1 - 2 * (x * x + z * z),
    2 * (y * z - w * x),
    2 * (x * z - w * y),
    2 * (y * z + w * x),
    1 - 2 * (x * x + y * y),
  ]
}

export function turnRow(p: readonly number[], x: number, y: number, out: Float64Array): void {
  const m = turnMatrix(p)
  const c = 1 / (m[6] * x + m[7] * y + m[8])
  const u = (m[0] * x + m[1] * y + m[2]) * c
  const v = (m[3] * x + m[4] * y + m[5]) * c
  out[0] = u
  out[1] = v
  // δ × (u, v, 1), then how the division answers.
  out[2] = -u * v
  out[3] = 1 + u * u
  out[4] = -v
  out[5] = -1 - v * v
  out[6] = u * v
  out[7] = u
}
