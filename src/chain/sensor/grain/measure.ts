/**
 * Grain meter: variance per channel and level, correlation between neighbours and between channels.
 *
 * Blocks of 16×16 pixels: the variance left after a fitted plane is noise plus texture; half the variance of the difference
 * of two successive frames is noise plus motion, less what a codec froze. Within blocks of like level the flattest tenth is
 * believed; the temporal figure is taken where it is lower and yet not frozen (≥ 0.1 × the spatial one).
 *
 * A level at which the picture has no flat place would take its texture for grain: σ / level^0.6 (about what a viewing curve
 * makes of it) may at most double from one level to the next, counted from the quietest.
 *
 * Source: [foi2008] (level dependence), [emva1288] (difference of pairs); the smoothness of σ over level: common practice.
 */
import { type FloatImage, median, type Reading } from '../../../core/index.js'
import { type BlockStats, blockStats } from '../../../kernels/index.js'
import { correlation, type NoiseCorrelation } from './correlation.js'
import { GRAIN_BLOCK } from './likeness.js'

const QUANTILE = 0.1
/** Mean of a variance estimate over its own 10 % quantile, for about 100 effective degrees of freedom (χ²). */
const QUANTILE_BIAS = 1.2
const FROZEN = 0.1
const MOST_LEVELS = 8
const LEAST_BLOCKS = 40

/** Two successive frames in linear light; `after` is absent for stills. */
export interface GrainSample {
  readonly frame: number
  readonly image: FloatImage
  readonly after: FloatImage | undefined
}

export interface GrainMeasure extends NoiseCorrelation {
  readonly levels: number[]
  /** R, G, B, one figure a level. */
  readonly variance: [number[], number[], number[]]
}

interface Candidate {
  readonly level: number
  readonly spatial: BlockStats
  readonly temporal: BlockStats | undefined
  readonly sample: GrainSample
}

/**
 * @param clip linear value at which the plate's code ends; blocks within 3 % of it or below 0 are left out
 */
export function measureGrain(samples: readonly GrainSample[], clip: number): Reading<GrainMeasure> {
  const blocks = samples.flatMap((s) => candidates(s, clip))
  if (blocks.length < LEAST_BLOCKS) {
    return {
      cannotTell: `only ${blocks.length} unclipped blocks of ${GRAIN_BLOCK} px were found; ${LEAST_BLOCKS} are needed`,
    }
  }
  blocks.sort((a, b) => a.level - b.level)
  const groups = Math.max(1, Math.min(MOST_LEVELS, Math.floor(blocks.length / LEAST_BLOCKS)))
  const levels: number[] = []
  const variance: [number[], number[], number[]] = [[], [], []]
  const chosen: Candidate[] = []
  for (let g = 0; g < groups; g++) {
    const group = blocks.slice((g * blocks.length) / groups, ((g + 1) * blocks.length) / groups)
    levels.push(group.reduce((sum, b) => sum + b.level, 0) / group.length)
    for (const c of [0, 1, 2] as const) variance[c].push(groupVariance(group, c))
    chosen.push(...flattest(group))
  }
  for (const c of [0, 1, 2] as const) variance[c] = envelope(levels, variance[c])
  const frames = samples.map((s) => s.frame)
  const shares = correlation(
    chosen.map((b) => ({ image: b.sample.image, x: b.spatial.x, y: b.spatial.y })),
    GRAIN_BLOCK,
  )
  return {
    value: { levels: distinct(levels), variance, ...shares },
    evidence: {
      kind: 'measured',
      frames,
      method: `variance of the flattest tenth of ${blocks.length} blocks of ${GRAIN_BLOCK} px in ${groups} levels`,
      confidence: Math.min(0.95, 0.5 + blocks.length / 4000),
    },
  }
}

function candidates(sample: GrainSample, clip: number): Candidate[] {
  const spatial = blockStats(sample.image, GRAIN_BLOCK)
  const difference = sample.after === undefined ? undefined : halfDifference(sample.image, sample.after)
  const temporal = difference === undefined ? undefined : blockStats(difference, GRAIN_BLOCK)
  return spatial
    .map((s, i) => ({
      level: (s.mean[0] + s.mean[1] + s.mean[2]) / 3,
      spatial: s,
      temporal: temporal?.[i],
      sample,
    }))
    .filter(
      ({ spatial: s }) => s.mean.every((m) => m > 0 && m < 0.97 * clip) && s.variance.every(Number.isFinite),
    )
}

/** (a − b) / √2: has the variance of one frame's noise. */
function halfDifference(a: FloatImage, b: FloatImage): FloatImage {
  const data = new Float32Array(a.data.length)
  for (let i = 0; i < data.length; i++)
    data[i] = ((a.data[i] as number) - (b.data[i] as number)) * Math.SQRT1_2
  return { region: a.region, data }
}

function groupVariance(group: readonly Candidate[], c: 0 | 1 | 2): number {
  const low = (values: number[]) => {
    values.sort((a, b) => a - b)
    return (values[Math.floor(QUANTILE * (values.length - 1))] as number) * QUANTILE_BIAS
  }
  const spatial = low(group.map((b) => b.spatial.variance[c]))
  const pairs = group.flatMap((b) => (b.temporal === undefined ? [] : [b.temporal.variance[c]]))
  if (pairs.length < group.length / 2) return spatial
  const temporal = low(pairs)
  return temporal < spatial && temporal > FROZEN * spatial ? temporal : spatial
}

/** Variances held to at most twice the neighbouring level's relative σ, from the quietest level outward. */
function envelope(levels: readonly number[], variance: readonly number[]): number[] {
  const scale = levels.map((l) => Math.max(l, 1e-4) ** 0.6)
  const relative = variance.map((v, i) => Math.sqrt(v) / (scale[i] as number))
  const floor = median(relative) / 6
  const held = relative.map((r) => Math.max(r, floor))
  const order = held.map((_, i) => i).sort((a, b) => (held[a] as number) - (held[b] as number))
  for (const i of order) {
    for (const j of [i - 1, i + 1]) {
      if (j in held) held[j] = Math.min(held[j] as number, 2 * (held[i] as number))
    }
  }
  return held.map((r, i) => (r * (scale[i] as number)) ** 2)
}

function flattest(group: readonly Candidate[]): Candidate[] {
  const total = (b: Candidate) => b.spatial.variance[0] + b.spatial.variance[1] + b.spatial.variance[2]
  return [...group].sort((a, b) => total(a) - total(b)).slice(0, Math.ceil(group.length * QUANTILE))
}

/** Strictly ascending: equal levels (a flat clip) are set apart by a hair. */
function distinct(levels: readonly number[]): number[] {
  const out: number[] = []
  for (const level of levels)
    out.push(out.length > 0 ? Math.max(level, (out.at(-1) as number) + 1e-6) : level)
  return out
}
