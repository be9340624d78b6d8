/**
 * An element's own grain: noise of the blocks that it fills, over time where it holds still, else in single frames of its quietest
 * level (`measure.ts`), carried over to its middle level; or what the flattest tenth of those blocks has, where that is less, since
 * texture can only raise either. Where no way finds noise that is no texture, nothing is told. What rounding to codes adds stays in:
 * the element brings it along.
 *
 *   σ² = σ²(L) / (L + 0.02) · (L middle + 0.02)
 *
 * Source: [foi2008] for the approach; that σ² goes about with L: photon noise.
 */
import { type FloatImage, median, quantile, type Reading, type Rgb } from '../../../core/index.js'
import { blockStats } from '../../../kernels/index.js'
import { type GrainSample, noiseFound } from './measure.js'
import { UNROUNDED } from './overTime.js'

const BLOCK = 8
/** Of σ², one standard deviation beyond which nothing is told: a choice that the round trip bears out. */
const UNSURE = 1
/** Of σ², one standard deviation, for texture so fine that no place is without it: as the round trip has it. */
const FINE = 0.2
const BLACK = 0.02

/** @param samples as the source link gives them, premultiplied @param clip linear value at which the file's code ends */
export function measureOwnGrain(samples: readonly GrainSample[], clip: number): Reading<Rgb> {
  const found = noiseFound(samples, clip, UNROUNDED, filled)
  if ('cannotTell' in found) return { cannotTell: `where the element is filled: ${found.cannotTell}` }
  const { rows, sure, method } = found
  const middle = median(rows.map((r) => r.level)) + BLACK
  const [r, g, b] = [0, 1, 2].map((c) => {
    const levels = rows.flatMap(({ level, variance, spread }) => {
      const [v, s] = [variance[c], spread[c]]
      const by = middle / (level + BLACK)
      return v !== undefined && s !== undefined && v > 0 && s <= UNSURE * v ? [{ v: v * by, s: s * by }] : []
    })
    levels.sort((p, q) => p.v - q.v)
    return levels[sure ? levels.length >> 1 : 0]
  })
  if (r === undefined || g === undefined || b === undefined)
    return {
      cannotTell:
        'the element is textured all over and does not hold still: its grain cannot be told from its texture',
    }
  const flattest = sure ? undefined : flattestTenth(samples)
  const value = [r, g, b].map(({ v }, c) => Math.min(v, flattest?.[c] ?? v)) as unknown as Rgb
  const spread = sure ? g.s : Math.sqrt(g.s ** 2 + (FINE * g.v) ** 2)
  return {
    value,
    evidence: {
      kind: 'measured',
      frames: samples.map((s) => s.frame),
      method: `${method}, where the element is filled`,
      spread,
      confidence: Math.max(0.3, 0.9 - spread / g.v),
    },
  }
}

function flattestTenth(samples: readonly GrainSample[]): number[] {
  const blocks = samples.flatMap(({ image }) =>
    blockStats(image, BLOCK).filter((b) => filled(image, b.x, b.y, BLOCK)),
  )
  return ([0, 1, 2] as const).map((c) =>
    quantile(Float64Array.from(blocks, (b) => b.variance[c]).sort(), 0.1),
  )
}

/** Covered nearly whole, or (light without cover) lit in all four corners. */
function filled({ region, data }: FloatImage, x: number, y: number, size: number): boolean {
  const at = (u: number, v: number) => 4 * ((y + v - region.y) * region.width + x + u - region.x)
  const [last, middle] = [size - 1, size >> 1]
  return [at(0, 0), at(last, 0), at(0, last), at(last, last), at(middle, middle)].every(
    (i) => (data[i + 3] as number) > 0.9 || ((data[i + 3] as number) === 0 && (data[i] as number) > 0.02),
  )
}
