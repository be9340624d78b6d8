/** One block of 16×16 px of a finished picture: the grain that was put there, that which the books hold, and what it should have. */
import type { Rgb } from '../../../core/index.js'
import type { Seen } from '../../compare.js'
import { PAIRS6 } from './cells.js'
import { shownInBlock, togetherInBlock } from './inBlock.js'
import { blockChange, blockDetail, blockLikeness, GRAIN_BLOCK as SIZE } from './likeness.js'
import type { GrainMeasure } from './measure.js'
import { type Codes, type Powers, powersOf, type Together } from './parted.js'

/** Share of the level's variance that grain must have before it means something. */
export const ENOUGH = 0.3
/** Blocks below which nothing is said. */
export const LEAST_BLOCKS = 8
/** Blocks count as of like level within this factor, three quarters of a stop. */
export const LIKE = 1.7
const LEAST_VARIANCE = 1e-12

export interface SeenBlock {
  readonly level: Rgb
  /** That the plate's grain has at that level. */
  readonly wanted: Powers
  /** Of rendered − predicted. */
  readonly added: Powers
  /** That the books hold: the plate's that shows through and the element's. */
  readonly held: Powers
  /** Share of the norm that the element's own grain makes up. */
  readonly own: number
  /** Correlation of what was added with the next pixel; NaN where too little was added. */
  readonly lag: number
  /** NaN where there is no next frame, or where texture outweighs the grain. */
  readonly frozen: number
  /** Change of the fine detail to the next frame over the variance that should change; NaN as `frozen`. */
  readonly fresh: number
  /** Whether the picture without added grain is flat there: a codec errs more on texture. */
  readonly flat: boolean
}

/** What the delivery does to a block that nothing touched. */
export interface Untouched {
  readonly level: Rgb
  readonly variance: Powers
}

/** What blocks are held against. */
export interface Held {
  readonly norm: GrainMeasure
  /** Linear value at which the plate's code ends. */
  readonly clip: number
  /** Variance of the element's grain as placed, where its alpha is 1. */
  readonly own: Rgb
  readonly codes: Codes
}

/** Undefined where it is clipped, or lies at levels at which grain was never measured. */
export function seeBlock(
  seen: Seen,
  x: number,
  y: number,
  cover: number,
  { norm, clip, own, codes }: Held,
): SeenBlock | undefined {
  const { width } = seen.plate.region
  const level = levelOf(seen, 'predicted', x, y)
  if (!level.every((v) => v > 0 && v < 0.9 * clip) || !measuredAt(norm, level[1])) return undefined
  const powers = (both: Together) => powersOf(both, level, codes)
  const grain = addedGrain(seen, x, y)
  const brought = own.map((v) => cover * cover * v)
  const wanted = powers(togetherInBlock(norm, level)).map((v) =>
    Math.max(v, LEAST_VARIANCE),
  ) as unknown as Powers
  const kept = blockMean(x, y, width, (p) => (seen.keep[p] as number) ** 2)
  const plate = togetherInBlock(norm, levelOf(seen, 'plate', x, y))
  const held = powers(plate.map((v, i) => kept * v + (brought[i] ?? 0)) as unknown as Together)
  const added = powers(grain.both)
  const after = seen.renderedAfter
  // White noise of variance σ² has 1.25 σ² of fine detail; twice that is more than grain.
  const textured = blockDetail(seen.rendered, x, y) > 2 * 1.25 * (added[1] + held[1])
  const flat = blockDetail(seen.predicted, x, y) <= 2 * 1.25 * (wanted[1] + held[1])
  const moving = after === undefined || textured ? undefined : after
  return {
    level,
    wanted,
    added,
    held,
    own: (brought[1] as number) / wanted[1],
    lag: added[1] > ENOUGH * wanted[1] ? grain.lag : Number.NaN,
    frozen: moving === undefined ? Number.NaN : blockLikeness(seen.rendered, moving, x, y),
    fresh:
      moving === undefined
        ? Number.NaN
        : blockChange(seen.rendered, moving, x, y) / Math.max(added[1] + held[1], LEAST_VARIANCE),
    flat,
  }
}

export function seeUntouched(seen: Seen, x: number, y: number, codes: Codes): Untouched {
  const level = levelOf(seen, 'plate', x, y)
  return { level, variance: powersOf(addedGrain(seen, x, y).both, level, codes) }
}

/** Change of a plate's fine detail over the grain's variance at its level. */
export function freshOnPlate(seen: Seen, x: number, y: number, norm: GrainMeasure): number {
  const { variance } = shownInBlock(norm, 1, levelOf(seen, 'plate', x, y)[1])
  return blockChange(seen.plate, seen.plateAfter as Seen['plate'], x, y) / Math.max(variance, LEAST_VARIANCE)
}

/** Whether grain was measured about there: beyond, what it should be is not known. */
function measuredAt({ levels }: GrainMeasure, level: number): boolean {
  return level > (levels[0] as number) / LIKE && level < LIKE * (levels.at(-1) as number)
}

function levelOf(seen: Seen, of: 'plate' | 'predicted', x: number, y: number): Rgb {
  const { data, region } = seen[of]
  const channel = (c: number) => blockMean(x, y, region.width, (p) => data[4 * p + c] as number)
  return [channel(0), channel(1), channel(2)]
}

/** What was added to the predicted picture, less its own mean: covariances, and green's correlation with the next pixel. */
function addedGrain(seen: Seen, x0: number, y0: number): { both: Together; lag: number } {
  const { width } = seen.plate.region
  const d = [0, 1, 2].map((c) => {
    const of = new Float64Array(SIZE * SIZE)
    for (let y = 0, k = 0; y < SIZE; y++) {
      for (let x = 0; x < SIZE; x++, k++) {
        const i = 4 * ((y0 + y) * width + x0 + x) + c
        of[k] = (seen.rendered.data[i] as number) - (seen.predicted.data[i] as number)
      }
    }
    const mean = of.reduce((s, v) => s + v, 0) / of.length
    return of.map((v) => v - mean)
  }) as [Float64Array, Float64Array, Float64Array]
  const both = PAIRS6.map(([a, b]) => d[a].reduce((s, v, k) => s + v * (d[b][k] as number), 0) / SIZE ** 2)
  const green = d[1]
  let beside = 0
  for (let k = 0; k < green.length; k++) {
    const v = green[k] as number
    if (k % SIZE < SIZE - 1) beside += v * (green[k + 1] as number)
    if (k + SIZE < green.length) beside += v * (green[k + SIZE] as number)
  }
  const [pairs, power] = [2 * SIZE * (SIZE - 1), both[1] as number]
  return { both: both as unknown as Together, lag: power > 0 ? beside / pairs / power : 0 }
}

export function blockMean(x0: number, y0: number, width: number, at: (p: number) => number): number {
  let sum = 0
  for (let y = y0; y < y0 + SIZE; y++) for (let x = x0; x < x0 + SIZE; x++) sum += at(y * width + x)
  return sum / (SIZE * SIZE)
}
