/**
 * Standard deviation of white noise in a plane, from its second differences both ways:
 *
 *   σ = √(π/2) · Σ|I ∗ N| / (6·(W − 2)·(H − 2)),  N = [1 −2 1; −2 4 −2; 1 −2 1]
 *
 * Blind to ramps; overstates where there is texture and understates noise that is correlated.
 *
 * Source: [immerkaer1996].
 * @example a checkerboard of ±1 → 3.34217103
 * @throws Problem `kernels.plane-too-small` below 3 × 3
 */
import { Problem } from '../../core/index.js'

/** `plane` holds width · height values, row by row. */
export function immerkaer(plane: Float32Array, width: number, height: number): number {
  if (width < 3 || height < 3) {
    throw new Problem({
      code: 'kernels.plane-too-small',
      what: "Immerkær's estimate needs a neighbour on every side",
      expected: 'at least 3×3',
      received: `${width}×${height}`,
    })
  }
  let sum = 0
  for (let y = 1; y < height - 1; y++) {
    const m = y * width
    const u = m - width
    const d = m + width
    for (let x = 1; x < width - 1; x++) {
      sum += Math.abs(
        plane[u + x - 1] +
          plane[u + x + 1] +
          plane[d + x - 1] +
          plane[d + x + 1] -
          2 * (plane[u + x] + plane[d + x] + plane[m + x - 1] + plane[m + x + 1]) +
          4 * plane[m + x],
      )
    }
  }
  return (Math.sqrt(Math.PI / 2) * sum) / (6 * (width - 2) * (height - 2))
}
