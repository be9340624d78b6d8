/**
 * Noise where nothing tells it from texture, as of most plates that move: blocks of 16×16 less the plane that fits them best, and half
 * the difference of two successive frames in the same blocks; at each level the quietest tenth, made larger for being the quietest and for
 * what a plane takes of noise as coarse as its is (`lowTail.ts`). What lies between frames is taken where it is lower and yet not frozen by a codec (0.1 of the other).
 *
 * A level at which the picture has no flat place would take its texture for grain: σ / level^0.6 (about what a viewing curve makes of
 * it) is at most twice that of the quieter levels, their lower quarter.
 *
 * An upper bound where texture is everywhere; too low where a camera smooths what is flat: the spread is as large as σ² itself. Source: [foi2008] (level dependence), [emva1288] (difference of pairs); the smoothness of σ over level:
 * common practice.
 */
import { type FloatImage, median, pow, quantile } from '../../../core/index.js'
import { type BlockStats, blockStats } from '../../../kernels/index.js'
import { coarseness } from './lowTail.js'
import type { GrainSample } from './measure.js'
import type { Level, OneFrame } from './oneFrame.js'

const SIZE = 16
const TENTH = 0.1
/** The normal distribution's 10 % quantile. */
const TENTH_OF_NORMAL = -1.2816
/** Lags of coarse noise: more is texture. */
const COARSEST = 0.8
const FROZEN = 0.1
const MOST_LEVELS = 8
const LEAST_BLOCKS = 40
/** Share of the code's end from which on a block counts as clipped. */
const CLIPPED = 0.97
const DOUBLE = 2
const QUARTER = 0.25
/** A level is not taken for so many times quieter than the middle one: a codec emptied it. */
const EMPTY = 6
/** Of σ², one standard deviation: a choice. */
const SPREAD = 1

interface Candidate {
  readonly level: number
  readonly own: BlockStats
  readonly between: BlockStats | undefined
  readonly image: FloatImage
}

/** @param clip linear value at which the code ends */
export function quietestBlocks(samples: readonly GrainSample[], clip: number): OneFrame {
  const blocks = samples.flatMap((s) => candidates(s, clip)).sort((a, b) => a.level - b.level)
  const count = Math.min(MOST_LEVELS, Math.floor(blocks.length / LEAST_BLOCKS))
  const groups = Array.from({ length: count }, (_, g) =>
    blocks.slice((g * blocks.length) / count, ((g + 1) * blocks.length) / count),
  )
  const levels = groups.map((g) => g.reduce((sum, b) => sum + b.level, 0) / g.length)
  const variance = ([0, 1, 2] as const).map((c) =>
    enveloped(
      levels,
      groups.map((g) => groupVariance(g, c)),
    ),
  )
  return {
    ...{ size: SIZE, blocks: blocks.length },
    levels: levels.map((level, g): Level => {
      const own = variance.map((v) => v[g] as number)
      return { level, variance: own, spread: own.map((v) => SPREAD * v) }
    }),
    flat: groups.flatMap(flattest).map(({ image, own: { x, y, mean } }) => ({ image, x, y, level: mean })),
  }
}

function candidates({ image, after }: GrainSample, clip: number): Candidate[] {
  const between = after && blockStats(halfDifference(image, after), SIZE)
  return blockStats(image, SIZE).flatMap((own, i) => {
    const [r, g, b] = own.mean
    const seen = own.mean.every((m) => m > 0 && m < CLIPPED * clip) && own.variance.every(Number.isFinite)
    return seen ? [{ level: (r + g + b) / 3, own, between: between?.[i], image }] : []
  })
}

/** (a − b) / √2: has the variance of one frame's noise. */
function halfDifference(a: FloatImage, b: FloatImage): FloatImage {
  return { ...a, data: a.data.map((v, i) => (v - (b.data[i] as number)) * Math.SQRT1_2) }
}

function groupVariance(group: readonly Candidate[], c: 0 | 1 | 2): number {
  const whole = ofQuietest(group, c)
  const low = (values: readonly number[]) => whole * quantile(Float64Array.from(values).sort(), TENTH)
  const within = low(group.map((b) => b.own.variance[c]))
  const pairs = group.flatMap((b) => (b.between === undefined ? [] : [b.between.variance[c]]))
  if (pairs.length < group.length / 2) return within
  const between = low(pairs)
  return between < within && between > FROZEN * within ? between : within
}

/**
 * What a variance is more than the 10 % quantile of its estimates, blocks less their planes: χ² of as many degrees of freedom as they have
 * pixels that tell ([wilson1931] for its quantile).
 */
function ofQuietest(group: readonly Candidate[], c: 0 | 1 | 2): number {
  const quiet = group
    .toSorted((a, b) => a.own.variance[c] - b.own.variance[c])
    .slice(0, Math.ceil(TENTH * group.length))
  const lag = (of: (b: BlockStats) => number | undefined) => {
    const all = quiet.map(({ own }) => of(own) ?? Number.NaN).filter((v) => !Number.isNaN(v))
    return all.length === 0 ? 0 : Math.min(Math.max(median(all), 0), COARSEST)
  }
  const n = SIZE * SIZE
  const { wide, fewer } = coarseness(
    lag((b) => b.lagX[c]),
    lag((b) => b.lagY[c]),
  )
  const part = 2 / (9 * ((n - 3) / fewer))
  const tenth = (1 - part + TENTH_OF_NORMAL * Math.sqrt(part)) ** 3
  return (n - 3) / (n - 3 * Math.min(wide, n / 8)) / tenth
}

/** No more than twice the lower quarter. */
function enveloped(levels: readonly number[], variance: readonly number[]): number[] {
  const scale = levels.map((l) => pow(Math.max(l, 1e-4), 0.6))
  const relative = variance.map((v, i) => Math.sqrt(v) / (scale[i] as number))
  const floor = median(relative) / EMPTY
  const held = relative.map((r) => Math.max(r, floor))
  const most = DOUBLE * quantile(Float64Array.from(held).sort(), QUARTER)
  return held.map((r, i) => (Math.min(r, most) * (scale[i] as number)) ** 2)
}

function flattest(group: readonly Candidate[]): Candidate[] {
  const total = ({ own: { variance } }: Candidate) => variance[0] + variance[1] + variance[2]
  return [...group].sort((a, b) => total(a) - total(b)).slice(0, Math.ceil(TENTH * group.length))
}
