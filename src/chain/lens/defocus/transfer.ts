/**
 * What a blur leaves of each spatial frequency, 1 at frequency 0.
 *
 *   disc      H(u, v) = Σ w(x, y) cos 2πux · cos 2πvy     w  the weights with which the chain blurs (`kernels/disc`)
 *   Gaussian  H(f) = exp(−2π²σ²f²)
 *
 *   u, v, f  cycles a pixel   r, σ  px
 *
 * Of the chain's own weights, not of an ideal disc (2·J₁(2πrf) / 2πrf, [goodman2005 §6.4]): what is measured is then what gives the
 * same blur when it is applied. The two differ by the pixel that the weights are counted over, 1/12 px² of variance.
 */
import { discKernel, type Transfer } from '../../../kernels/index.js'

export type Shape = 'disc' | 'gaussian'

/** @param size radius of the disc, or σ of the Gaussian, in px above 0 */
export function transferOf(shape: Shape, size: number): Transfer {
  if (shape === 'gaussian') return (u, v) => Math.exp(-2 * Math.PI ** 2 * size ** 2 * (u * u + v * v))
  const { rows, weight } = discKernel(size)
  const n = rows.length
  const weights = rows.map(({ full, edge }) =>
    Float64Array.from({ length: n }, (_, x) => (x <= full ? weight : (edge[x - full - 1] ?? 0))),
  )
  const across = new Float64Array(n)
  return (u, v) => {
    for (let x = 0; x < n; x++) across[x] = (x === 0 ? 1 : 2) * Math.cos(2 * Math.PI * u * x)
    let sum = 0
    for (let y = 0; y < n; y++) {
      const row = weights[y] as Float64Array
      let along = 0
      for (let x = 0; x < n; x++) along += row[x]! * across[x]!
      sum += (y === 0 ? 1 : 2) * Math.cos(2 * Math.PI * v * y) * along
    }
    return sum
  }
}
