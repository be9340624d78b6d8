/**
 * Grain in the finished file: how much, how coarse, and whether it stands still.
 *
 * Blocks of 16×16 that the element covers by a third or more, against untouched blocks of the same frames at like level, the
 * flattest tenth of each:
 *
 *   amount   ratio of standard deviations, per channel        limit 0.7 to 1.4 in two channels
 *   size     correlation with the next pixel, mean of x and y  limit ± 0.2
 *   frozen   correlation with the same place a frame later     limit 0.3 above the plate's own
 *
 * Limits: DESIGN, starting limits of the tells. Codecs freeze noise: frozen is only said against how frozen the plate is.
 */
import { quantile, type Region } from '../../../core/index.js'
import { blockStats } from '../../../kernels/index.js'
import type { Comparison, Seen, SeenElement, Verdict } from '../../compare.js'
import { blockLikeness, GRAIN_BLOCK as SIZE } from './likeness.js'

const LEAST_BLOCKS = 8

interface Block {
  readonly level: number
  readonly variance: readonly number[]
  readonly lag: number
  /** Correlation with the next frame; NaN where there is none. */
  readonly frozen: number
}

export interface GrainLook {
  readonly frame: number
  readonly plate: Block[]
  readonly element: Block[]
  readonly region: Region
}

/** @param clip linear value at which the plate's code ends */
export function lookAtGrain(seen: Seen, e: SeenElement, clip: number): GrainLook {
  const { width } = seen.plate.region
  const plate: Block[] = []
  const element: Block[] = []
  for (const s of blockStats(seen.rendered, SIZE)) {
    if (s.mean.some((m) => m <= 0 || m > 0.97 * clip)) continue
    const cover = share(s.x, s.y, width, (p) => e.alpha[p] as number)
    const outside = share(s.x, s.y, width, (p) => seen.touched[p] as number) === 0
    if (!outside && cover < 1 / 3) continue
    const after = outside ? seen.plateAfter : seen.renderedAfter
    const image = outside ? seen.plate : seen.rendered
    const block: Block = {
      level: (s.mean[0] + s.mean[1] + s.mean[2]) / 3,
      variance: s.variance,
      lag: (s.lagX[1] + s.lagY[1]) / 2,
      frozen: after === undefined ? Number.NaN : blockLikeness(image, after, s.x, s.y),
    }
    if (outside) plate.push(block)
    else element.push(block)
  }
  return { frame: seen.frame, plate, element, region: e.region }
}

function share(x0: number, y0: number, width: number, at: (p: number) => number): number {
  let sum = 0
  for (let y = y0; y < y0 + SIZE; y++) for (let x = x0; x < x0 + SIZE; x++) sum += at(y * width + x)
  return sum / (SIZE * SIZE)
}

export function compareGrain(name: string, looks: readonly GrainLook[]): Comparison {
  const element = looks.flatMap((l) => l.element)
  const none = (why: string): Comparison => ({
    verdicts: [],
    undecided: ['grain-amount', 'grain-size', 'frozen-grain'].map((tell) => ({ tell, link: 'sensor', why })),
    measured: {},
  })
  if (element.length < LEAST_BLOCKS) return none('the element covers too few flat, unclipped places')
  const levels = element.map((b) => b.level).sort((a, b) => a - b)
  const like = (b: Block) =>
    b.level >= 0.7 * quantile(levels, 0.05) && b.level <= 1.4 * quantile(levels, 0.95)
  const plate = looks.flatMap((l) => l.plate).filter(like)
  if (plate.length < LEAST_BLOCKS) return none('the plate has no flat place of like level to compare with')
  const own = flattest(element)
  const norm = flattest(plate)
  const sigma = (blocks: readonly Block[], c: number) =>
    Math.sqrt(median(blocks.map((b) => b.variance[c] as number)))
  const ratios = [0, 1, 2].map((c) => sigma(own, c) / Math.max(sigma(norm, c), 1e-7))
  const lags: [number, number] = [median(own.map((b) => b.lag)), median(norm.map((b) => b.lag))]
  const frozen: [number, number] = [median(own.map((b) => b.frozen)), median(norm.map((b) => b.frozen))]
  const region = (looks.find((l) => l.element.length > 0) as GrainLook).region
  const frames = looks.filter((l) => l.element.length > 0).map((l) => l.frame)
  const base = { link: 'sensor', frames, region }
  const found = [amount(name, ratios), size(name, lags), still(name, frozen)].filter((v) => v !== undefined)
  return {
    verdicts: found.map((v) => ({ ...base, ...v })),
    undecided: Number.isNaN(frozen[0])
      ? [{ tell: 'frozen-grain', link: 'sensor', why: 'there is no next frame' }]
      : [],
    measured: { ratio: ratios, size: [lags[0]], frozen: [frozen[0]] },
  }
}

type Part = Omit<Verdict, 'link' | 'frames' | 'region'>

function amount(name: string, ratios: readonly number[]): Part | undefined {
  const low = ratios.filter((r) => r < 0.7).length >= 2
  const high = ratios.filter((r) => r > 1.4).length >= 2
  if (!low && !high) return undefined
  const r = median([...ratios])
  return {
    tell: 'grain-amount',
    unit: '×',
    measured: r,
    expected: 1,
    limit: low ? 0.7 : 1.4,
    confidence: 0.7,
    sentence: `${name} has ${r.toFixed(1)} × the grain of the plate at like level.`,
    cause: low
      ? 'Where it covers the plate, the plate’s grain went with it.'
      : 'Its own grain came along and was raised by the match.',
    remedy: low
      ? 'Fit again, so that the plate’s grain is measured and topped up.'
      : 'Take a cleaner element, or one that is scaled down more.',
    contrast: low ? 0.7 / Math.max(r, 0.05) : r / 1.4,
  }
}

function size(name: string, [own, norm]: readonly [number, number]): Part | undefined {
  if (Math.abs(own - norm) <= 0.2) return undefined
  return {
    tell: 'grain-size',
    unit: '–',
    measured: own,
    expected: norm,
    limit: 0.2,
    confidence: 0.6,
    sentence: `The grain of ${name} is ${own > norm ? 'coarser' : 'finer'} than the plate's.`,
    cause:
      own > norm
        ? 'Enlarging or a codec smeared its own grain.'
        : 'The grain added is whiter than the plate’s.',
    remedy: 'Fit again, so that the correlation of the plate’s grain is measured.',
    contrast: Math.abs(own - norm) / 0.2,
  }
}

function still(name: string, [own, norm]: readonly [number, number]): Part | undefined {
  if (!(own - norm > 0.3)) return undefined
  return {
    tell: 'frozen-grain',
    unit: '–',
    measured: own,
    expected: norm,
    limit: norm + 0.3,
    confidence: 0.6,
    sentence: `The grain of ${name} stands still from frame to frame.`,
    cause: 'A still or a repeated frame carries its grain along.',
    remedy: 'Use the element at its true rate, or a denoised still with the grain topped up.',
    contrast: (own - norm) / 0.3,
  }
}

/** The flattest tenth, at least `LEAST_BLOCKS`. */
function flattest(blocks: readonly Block[]): Block[] {
  const total = (b: Block) => b.variance.reduce((s, v) => s + v, 0)
  const n = Math.max(LEAST_BLOCKS, Math.ceil(blocks.length / 10))
  return [...blocks].sort((a, b) => total(a) - total(b)).slice(0, n)
}

function median(values: number[]): number {
  return quantile(Float64Array.from(values).sort(), 0.5)
}
