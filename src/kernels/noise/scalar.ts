/** The noise of one block in plain TypeScript, in double precision: what `simd.ts` must equal to the bit. */
import type { FloatImage } from '../../core/index.js'

/** Mean, variance and the two lags of a channel; `at`: its place in the block's first pixel. See `blocks.ts`. */
export function channelNoise(
  image: FloatImage,
  at: number,
  size: number,
  residual: Float64Array,
): [number, number, number, number] {
  const { data } = image
  const stride = 4 * image.region.width
  const middle = (size - 1) / 2
  let sum = 0
  let alongX = 0
  let alongY = 0
  for (let y = 0, k = 0; y < size; y++) {
    for (let x = 0, i = at + y * stride; x < size; x++, i += 4, k++) {
      const v = data[i]
      residual[k] = v
      sum += v
      alongX += v * (x - middle)
      alongY += v * (y - middle)
    }
  }
  const n = size * size
  const moment = (n * (n - 1)) / 12 // Σ (x − x̄)² over the block: size · size·(size² − 1)/12
  const mean = sum / n
  const p = alongX / moment
  const q = alongY / moment
  let square = 0
  let rightward = 0
  let downward = 0
  for (let y = 0, k = 0; y < size; y++) {
    for (let x = 0; x < size; x++, k++) {
      const e = residual[k] - mean - p * (x - middle) - q * (y - middle)
      residual[k] = e
      square += e * e
      if (x > 0) rightward += e * residual[k - 1]
      if (y > 0) downward += e * residual[k - size]
    }
  }
  const pairs = (size - 1) / size
  return [mean, square / (n - 3), rightward / (pairs * square), downward / (pairs * square)]
}
