/**
 * A homography by the direct linear transform: h, the nine numbers of H, is the direction that the equations leave free, by least
 * squares the eigenvector of the smallest eigenvalue of AᵀA. Each pair gives two rows of A:
 *
 *   [ 0 0 0  −x −y −1   v·x  v·y  v ]
 *   [ x y 1   0  0  0  −u·x −u·y −u ]
 *
 * The pairs come normalised: about their middle, one unit about their distance from it. Source: [hartley2004 §4.1, §4.4.4].
 * Linear algebra: ml-matrix (eigenvalues).
 */
import { EigenvalueDecomposition, Matrix } from 'ml-matrix'
import type { Pairs } from './pairs.js'

/** Nine numbers, the last one 1; undefined where the origin goes to infinity. */
export function directHomography({ from, to, weight }: Pairs): number[] | undefined {
  const sum = Matrix.zeros(9, 9)
  const add = (row: readonly number[], w: number) => {
    for (let i = 0; i < 9; i++) {
      const wi = w * (row[i] as number)
      if (wi !== 0) for (let j = i; j < 9; j++) sum.set(i, j, sum.get(i, j) + wi * (row[j] as number))
    }
  }
  for (let k = 0; k < weight.length; k++) {
    const w = weight[k] as number
    if (w === 0) continue
    const [x, y] = [from[2 * k] as number, from[2 * k + 1] as number]
    const [u, v] = [to[2 * k] as number, to[2 * k + 1] as number]
    add([0, 0, 0, -x, -y, -1, v * x, v * y, v], w)
    add([x, y, 1, 0, 0, 0, -u * x, -u * y, -u], w)
  }
  for (let i = 0; i < 9; i++) for (let j = 0; j < i; j++) sum.set(i, j, sum.get(j, i))
  const { realEigenvalues, eigenvectorMatrix } = new EigenvalueDecomposition(sum, { assumeSymmetric: true })
  const least = realEigenvalues.indexOf(Math.min(...realEigenvalues))
  const h = eigenvectorMatrix.getColumn(least)
  const scaled = h.map((v) => v / (h[8] as number))
  return scaled.every(Number.isFinite) ? scaled : undefined
}
