/**
 * Black floor of a file shot on black: the darkest fifth of its 8×8 blocks, and their noise.
 * Source: common practice.
 */
import { type FloatImage, median, quantile, type Reading, type Rgb } from '../../../core/index.js'
import { type BlockStats, blockStats } from '../../../kernels/index.js'

export interface FloorMeasure {
  readonly floor: Rgb
  readonly noise: Rgb
}

/** Pictures are linear, nothing taken off yet. */
export function measureFloor(
  images: readonly FloatImage[],
  frames: readonly number[],
): Reading<FloorMeasure> {
  const blocks = images.flatMap((i) => blockStats(i, 8))
  if (blocks.length < 20) return { cannotTell: 'the picture is too small to find its black' }
  const total = (b: BlockStats) => b.mean[0] + b.mean[1] + b.mean[2]
  const limit = quantile(Float64Array.from(blocks, total).sort(), 0.2)
  const dark = blocks.filter((b) => total(b) <= limit)
  const each = (f: (c: 0 | 1 | 2) => number): Rgb => [f(0), f(1), f(2)]
  const floor = each((c) => median(dark.map((b) => b.mean[c])))
  const noise = each((c) => Math.sqrt(median(dark.map((b) => b.variance[c]))))
  return {
    value: { floor, noise },
    evidence: {
      kind: 'measured',
      frames: [...frames],
      method: `median of the darkest fifth of ${blocks.length} blocks of 8 px`,
      spread: Math.max(...noise),
      confidence: 0.9,
    },
  }
}
