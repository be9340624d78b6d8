/**
 * Noise of a picture in square blocks: what remains of each channel after the plane that fits it best is taken off.
 *
 *   v ≈ m + p·(x − x̄) + q·(y − ȳ) by least squares;  variance = Σ residual² / (n − 3)
 *   lag = mean of residual(x)·residual(x + 1) / mean of residual², along x and along y
 *
 * Blocks lie on a grid anchored at the frame's origin; only those wholly inside the picture are looked at, so the
 * same block gives the same numbers whatever region holds it. A NaN or infinity makes its block's numbers NaN.
 * Texture finer than the block counts as noise: choose flat blocks. Arithmetic is in double precision.
 *
 * Source: [foi2008] for noise against level; local plane fits are common practice.
 * @throws Problem `kernels.block-too-small` when size < 3
 */
import { type FloatImage, Problem, type Rgb } from '../../core/index.js'
import { at } from '../wasm/images.js'
import { duringScratch, memory, takeBytes } from '../wasm/memory.js'
import { simd } from '../wasm/module.js'

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
  const { region, data } = image
  const blocks: BlockStats[] = []
  duringScratch(() => {
    const scratch = takeBytes(32 * size * size)
    const start = takeBytes(128)
    // Mean, variance, lag along x and along y; four channels each.
    const found = new Float64Array(memory.buffer, start, 16)
    const rgb = (i: number): Rgb => [found[i], found[i + 1], found[i + 2]]
    const line = 4 * region.width
    for (let y = Math.ceil(region.y / size) * size; y + size <= region.y + region.height; y += size) {
      // A row of blocks at a time, so that what has to be carried stays in the cache.
      const first = (y - region.y) * line
      at(data.subarray(first, first + size * line), false, (address) => {
        for (let x = Math.ceil(region.x / size) * size; x + size <= region.x + region.width; x += size) {
          simd.blockNoise(address + 16 * (x - region.x), 4 * line, size, scratch, start)
          blocks.push({ x, y, mean: rgb(0), variance: rgb(4), lagX: rgb(8), lagY: rgb(12) })
        }
      })
    }
  })
  return blocks
}
