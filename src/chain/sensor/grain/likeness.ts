import type { FloatImage } from '../../../core/index.js'

/** Side of the blocks that grain is measured in, px. */
export const GRAIN_BLOCK = 16

/** Correlation of the fine detail (green, less the mean of the four neighbours) of one block in two pictures, −1 to 1. */
export function blockLikeness(a: FloatImage, b: FloatImage, x0: number, y0: number): number {
  const { width } = a.region
  let aa = 0
  let bb = 0
  let ab = 0
  for (let y = y0 + 1; y < y0 + GRAIN_BLOCK - 1; y++) {
    for (let x = x0 + 1; x < x0 + GRAIN_BLOCK - 1; x++) {
      const i = 4 * (y * width + x) + 1
      const u = detail(a.data, i, width)
      const v = detail(b.data, i, width)
      aa += u * u
      bb += v * v
      ab += u * v
    }
  }
  return aa > 0 && bb > 0 ? ab / Math.sqrt(aa * bb) : 0
}

/** Half the mean square by which that fine detail changes: of noise that is new in each frame what `blockDetail` has of it, whatever the texture below. */
export function blockChange(a: FloatImage, b: FloatImage, x0: number, y0: number): number {
  const { width } = a.region
  let sum = 0
  for (let y = y0 + 1; y < y0 + GRAIN_BLOCK - 1; y++) {
    for (let x = x0 + 1; x < x0 + GRAIN_BLOCK - 1; x++) {
      const i = 4 * (y * width + x) + 1
      sum += (detail(a.data, i, width) - detail(b.data, i, width)) ** 2
    }
  }
  return sum / 2 / (GRAIN_BLOCK - 2) ** 2
}

/** Mean square of that fine detail in one block; of white noise 1.25 times its variance, of coarser noise less. */
export function blockDetail(image: FloatImage, x0: number, y0: number): number {
  const { width } = image.region
  let sum = 0
  for (let y = y0 + 1; y < y0 + GRAIN_BLOCK - 1; y++) {
    for (let x = x0 + 1; x < x0 + GRAIN_BLOCK - 1; x++)
      sum += detail(image.data, 4 * (y * width + x) + 1, width) ** 2
  }
  return sum / (GRAIN_BLOCK - 2) ** 2
}

function detail(d: Float32Array, i: number, width: number): number {
  const around =
    (d[i - 4] as number) + (d[i + 4] as number) + (d[i - 4 * width] as number) + (d[i + 4 * width] as number)
  return (d[i] as number) - around / 4
}
