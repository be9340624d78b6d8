/**
 * An element's own grain: the flattest tenth of the 8×8 blocks that it fills, less a fitted plane. Texture that is left
 * makes this an upper bound, so less grain is topped up, never too much. Source: [foi2008] for the approach.
 */
import { type FloatImage, quantile, type Reading, type Rgb } from '../../../core/index.js'
import { blockStats } from '../../../kernels/index.js'

const BLOCK = 8

/** Pictures as the source link gives them, premultiplied. */
export function measureOwnGrain(images: readonly FloatImage[], frames: readonly number[]): Reading<Rgb> {
  const blocks = images.flatMap((image) => blockStats(image, BLOCK).filter((b) => filled(image, b.x, b.y)))
  if (blocks.length < 20)
    return { cannotTell: 'the element fills too few blocks for its grain to be measured' }
  const low = (c: 0 | 1 | 2) => quantile(Float64Array.from(blocks, (b) => b.variance[c]).sort(), 0.1)
  return {
    value: [low(0), low(1), low(2)],
    evidence: {
      kind: 'measured',
      frames: [...frames],
      method: `flattest tenth of ${blocks.length} filled blocks of ${BLOCK} px`,
      confidence: 0.5,
    },
  }
}

/** Covered nearly whole, or (light without cover) lit in all four corners. */
function filled(image: FloatImage, x: number, y: number): boolean {
  const { region, data } = image
  const at = (u: number, v: number) => 4 * ((y + v - region.y) * region.width + x + u - region.x)
  return [at(0, 0), at(BLOCK - 1, 0), at(0, BLOCK - 1), at(BLOCK - 1, BLOCK - 1), at(4, 4)].every(
    (i) => (data[i + 3] as number) > 0.9 || ((data[i + 3] as number) === 0 && (data[i] as number) > 0.02),
  )
}
