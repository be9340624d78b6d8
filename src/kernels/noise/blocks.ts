/**
 * Noise of a picture in square blocks: what remains of each channel after the plane that fits it best is taken off.
 *
 *   v ≈ m + p·(x − x̄) + q·(y − ȳ) by least squares;  variance = Σ residual² / (n − 3)
 *   lag = mean of residual(x)·residual(x + 1) / mean of residual², along x and along y
 *
 * Blocks lie on a grid anchored at the frame's origin; only those wholly inside the picture are looked at, so the
 * same block gives the same numbers whatever region holds it. A NaN or infinity makes its block's numbers NaN.
 * Texture finer than the block counts as noise: choose flat blocks.
 *
 * Source: [foi2008] for noise against level; local plane fits are common practice.
 * @throws Problem `kernels.block-too-small` when size < 3
 */
import { type FloatImage, Problem, type Rgb } from '../../core/index.js'

export interface BlockStats {
  /** Frame coordinates of its top left pixel. */
  readonly x: number
  readonly y: number
  readonly mean: Rgb
  readonly variance: Rgb
  /** Correlation with the pixel to the right and with the one below; NaN where there is no noise at all. */
  readonly lagX: Rgb
  readonly lagY: Rgb
}

/** Blocks of `size` × `size` pixels, row by row. */
export function blockStats(image: FloatImage, size: number): BlockStats[] {
  if (!(size >= 3)) {
    throw new Problem({
      code: 'kernels.block-too-small',
      what: 'A block needs more pixels than a plane has unknowns',
      expected: 'a size of 3 or more',
      received: String(size),
    })
  }
  const { region } = image
  const blocks: BlockStats[] = []
  const residual = new Float64Array(size * size)
  for (let y = Math.ceil(region.y / size) * size; y + size <= region.y + region.height; y += size) {
    for (let x = Math.ceil(region.x / size) * size; x + size <= region.x + region.width; x += size) {
      const at = 4 * ((y - region.y) * region.width + x - region.x)
      const [r, g, b] = [0, 1, 2].map((c) => channel(image, at + c, size, residual))
      blocks.push({
        x,
        y,
        mean: [r.mean, g.mean, b.mean],
        variance: [r.variance, g.variance, b.variance],
        lagX: [r.lagX, g.lagX, b.lagX],
        lagY: [r.lagY, g.lagY, b.lagY],
      })
    }
  }
  return blocks
}

function channel(image: FloatImage, at: number, size: number, residual: Float64Array) {
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
  return {
    mean,
    variance: square / (n - 3),
    lagX: rightward / (pairs * square),
    lagY: downward / (pairs * square),
  }
}
