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
  // Sums of cosines up to a row's last full weight; what is left of a row are its few weights at the rim.
  const [across, upTo, down] = [new Float64Array(n), new Float64Array(n), new Float64Array(n)]
  return (u, v) => {
    cosines(2 * Math.PI * u, across)
    cosines(2 * Math.PI * v, down)
    for (let x = 0, sum = 0; x < n; x++) {
      sum += across[x]!
      upTo[x] = sum
    }
    let sum = 0
    for (let y = 0; y < n; y++) {
      const { full, edge } = rows[y]!
      let along = full < 0 ? 0 : weight * upTo[full]!
      for (let k = 0; k < edge.length; k++) along += edge[k]! * (across[full + 1 + k] ?? 0)
      sum += down[y]! * along
    }
    return sum
  }
}

/** 1, 2 cos a, 2 cos 2a, 2 cos 3a …: cos (k + 1) a = 2 cos a · cos ka − cos (k − 1) a. */
function cosines(a: number, out: Float64Array): void {
  const twice = 2 * Math.cos(a)
  out[0] = 1
  if (out.length > 1) out[1] = twice
  for (let k = 2, before = 2; k < out.length; k++) {
    out[k] = twice * out[k - 1]! - before
    before = out[k - 1]!
  }
}
