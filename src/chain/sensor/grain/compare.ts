/**
 * Grain in the finished file: how much, how coarse, and whether it stands still.
 *
 *   amount   √(var(rendered − predicted) + keep² σ²(plate) + α² σ²element) / σ(level)    limit 0.7 to 1.4 in two channels, further by
 *            what two spreads of the norm leave open
 *   size     correlation of rendered − predicted with the next pixel, mean of x and y     limit ± 0.2 from the plate's
 *   frozen   correlation of the fine detail with the same place a frame later             limit 0.3 above the plate's own,
 *            and less than half as much of it new as on the plate
 *
 * in flat blocks of 16×16 that the element covers by a third or more and that are not clipped; σ(level) is what the plate's grain
 * is at that level, measured anew for the check. `predicted` is the picture without any grain added, so that an element's texture
 * is not taken for grain; its own grain stands in the books. Where the delivery's own error (rounding, codec) at like level, off
 * blocks that nothing touched, outweighs the grain, nothing is said: the error would be taken for grain. It is not taken off: of
 * weaker errors most is the grain that the codec lost. Frozen is only asked where the element brings grain of its own and the
 * fine detail is no more than twice what all its grain makes (a texture may stand still), and only said against how frozen the
 * plate is, since codecs freeze noise. Limits: choices.
 */
import { log2, median, pow, type Region, type Rgb } from '../../../core/index.js'
import type { Comparison, Seen, SeenElement } from '../../compare.js'
import { amount, ENOUGH, type Part, sureness, whyOf } from './amount.js'
import { shownInBlock } from './inBlock.js'
import { blockChange, blockDetail, blockLikeness, GRAIN_BLOCK as SIZE } from './likeness.js'
import type { GrainMeasure } from './measure.js'
import type { GrainModel } from './model.js'

const LEAST_BLOCKS = 8

interface Block {
  readonly level: Rgb
  /** Variance that the plate's grain has at that level. */
  readonly wanted: Rgb
  /** Variance of rendered − predicted. */
  readonly added: Rgb
  /** Variance that the books hold: the plate's that shows through and the element's. */
  readonly held: Rgb
  /** Share of the norm that the element's own grain makes up. */
  readonly own: number
  /** NaN where too little was added. */
  readonly lag: number
  /** NaN where there is no next frame, or where texture outweighs the grain. */
  readonly frozen: number
  /** Change of the fine detail to the next frame over the variance that should change; NaN as `frozen`. */
  readonly fresh: number
  /** Whether the picture without added grain is flat there: a codec errs more on texture. */
  readonly flat: boolean
}

/** What the delivery does to a block that nothing touched. */
interface Untouched {
  readonly level: Rgb
  readonly variance: Rgb
}

export interface GrainLook {
  readonly frame: number
  readonly blocks: readonly Block[]
  readonly untouched: readonly Untouched[]
  /** Likeness of untouched blocks with the next frame. */
  readonly plateFrozen: readonly number[]
  /** Change of their fine detail over the grain's variance at their level. */
  readonly plateFresh: readonly number[]
  readonly region: Region
}

/**
 * @param clip linear value at which the plate's code ends
 * @param own variance of the element's grain as placed, where its alpha is 1
 */
export function lookAtGrain(
  seen: Seen,
  e: SeenElement,
  norm: GrainMeasure,
  clip: number,
  own: Rgb,
): GrainLook {
  const { width, height } = seen.plate.region
  const blocks: Block[] = []
  const untouched: Untouched[] = []
  const plateFrozen: number[] = []
  const plateFresh: number[] = []
  for (let y = 0; y + SIZE <= height; y += SIZE) {
    for (let x = 0; x + SIZE <= width; x += SIZE) {
      const cover = mean(x, y, width, (p) => e.alpha[p] as number)
      if (cover >= 1 / 3) {
        const block = lookAtBlock(seen, x, y, cover, norm, clip, own)
        if (block !== undefined) blocks.push(block)
      } else if ((x + y) % 64 === 0 && mean(x, y, width, (p) => seen.touched[p] as number) === 0) {
        const level = channels((c) => mean(x, y, width, (p) => seen.plate.data[4 * p + c] as number))
        untouched.push({
          level,
          variance: channels((c) => addedGrain(seen, x, y, c).variance),
        })
        if (seen.plateAfter !== undefined) {
          plateFrozen.push(blockLikeness(seen.plate, seen.plateAfter, x, y))
          const variance = Math.max(shownInBlock(norm, 1, level[1]).variance, 1e-12)
          plateFresh.push(blockChange(seen.plate, seen.plateAfter, x, y) / variance)
        }
      }
    }
  }
  return { frame: seen.frame, blocks, untouched, plateFrozen, plateFresh, region: e.region }
}

/** Whether grain was measured about there: beyond, what it should be is not known. */
function measuredAt({ levels }: GrainMeasure, level: number): boolean {
  return level > (levels[0] as number) / LIKE && level < LIKE * (levels.at(-1) as number)
}

function channels(of: (c: 0 | 1 | 2) => number): Rgb {
  return [of(0), of(1), of(2)]
}

function lookAtBlock(
  seen: Seen,
  x: number,
  y: number,
  cover: number,
  norm: GrainMeasure,
  clip: number,
  own: Rgb,
): Block | undefined {
  const { width } = seen.plate.region
  const level = channels((c) => mean(x, y, width, (p) => seen.predicted.data[4 * p + c] as number))
  if (!level.every((v) => v > 0 && v < 0.9 * clip) || !measuredAt(norm, level[1])) return undefined
  const grain = [0, 1, 2].map((c) => addedGrain(seen, x, y, c))
  const brought = channels((c) => cover * cover * own[c])
  const wanted = channels((c) => Math.max(shownInBlock(norm, c, level[c]).variance, 1e-12))
  const held = channels((c) => {
    const plateLevel = mean(x, y, width, (p) => seen.plate.data[4 * p + c] as number)
    const kept = mean(x, y, width, (p) => (seen.keep[p] as number) ** 2)
    return kept * shownInBlock(norm, c, plateLevel).variance + brought[c]
  })
  const added = channels((c) => grain[c]?.variance as number)
  const after = seen.renderedAfter
  // White noise of variance σ² has 1.25 σ² of fine detail; twice that is more than grain.
  const textured = blockDetail(seen.rendered, x, y) > 2 * 1.25 * (added[1] + held[1])
  const flat = blockDetail(seen.predicted, x, y) <= 2 * 1.25 * (wanted[1] + held[1])
  return {
    level,
    wanted,
    added,
    held,
    own: brought[1] / wanted[1],
    lag: added[1] > ENOUGH * wanted[1] ? (grain[1]?.lag as number) : Number.NaN,
    frozen: after === undefined || textured ? Number.NaN : blockLikeness(seen.rendered, after, x, y),
    fresh:
      after === undefined || textured
        ? Number.NaN
        : blockChange(seen.rendered, after, x, y) / Math.max(added[1] + held[1], 1e-12),
    flat,
  }
}

/** Variance of what was added to the predicted picture, less its own mean, and its correlation with the next pixel. */
function addedGrain(seen: Seen, x0: number, y0: number, c: number): { variance: number; lag: number } {
  const { width } = seen.plate.region
  const d = new Float64Array(SIZE * SIZE)
  let sum = 0
  for (let y = 0; y < SIZE; y++) {
    for (let x = 0; x < SIZE; x++) {
      const i = 4 * ((y0 + y) * width + x0 + x) + c
      const v = (seen.rendered.data[i] as number) - (seen.predicted.data[i] as number)
      d[y * SIZE + x] = v
      sum += v
    }
  }
  const m = sum / d.length
  let power = 0
  let beside = 0
  for (let i = 0; i < d.length; i++) {
    const v = (d[i] as number) - m
    power += v * v
    if (i % SIZE < SIZE - 1) beside += v * ((d[i + 1] as number) - m)
    if (i + SIZE < d.length) beside += v * ((d[i + SIZE] as number) - m)
  }
  const pairs = (2 * (SIZE - 1)) / SIZE
  return { variance: power / d.length, lag: power > 0 ? beside / pairs / power : 0 }
}

function mean(x0: number, y0: number, width: number, at: (p: number) => number): number {
  let sum = 0
  for (let y = y0; y < y0 + SIZE; y++) for (let x = x0; x < x0 + SIZE; x++) sum += at(y * width + x)
  return sum / (SIZE * SIZE)
}

/**
 * @param norm the plate's grain as measured for this check, or why it could not be
 * @param fitted the same as the document has it
 */
export function compareGrain(
  name: string,
  looks: readonly GrainLook[],
  norm: GrainMeasure | { cannotTell: string },
  fitted: GrainModel | undefined,
): Comparison {
  const none = (why: string): Comparison => ({
    verdicts: [],
    undecided: ['grain-amount', 'grain-size', 'frozen-grain'].map((tell) => ({ tell, link: 'sensor', why })),
    measured: {},
  })
  if ('cannotTell' in norm) return none(`the plate's grain is not known: ${norm.cannotTell}`)
  const blocks = looks.flatMap((l) => l.blocks)
  if (blocks.length < LEAST_BLOCKS) return none('the element covers too few unclipped places')
  const shown = looks.filter((l) => l.blocks.length > 0)
  const base = { link: 'sensor', frames: shown.map((l) => l.frame), region: (shown[0] as GrainLook).region }
  const error = deliveryError(looks.flatMap((l) => l.untouched))
  const flat = blocks.filter((b) => b.flat)
  const clear = flat.filter((b) => error(b.level[1]) < b.wanted[1])
  const hidden = clear.length < LEAST_BLOCKS
  const why =
    flat.length < LEAST_BLOCKS
      ? 'the element is textured all over: what a codec does to texture looks like grain'
      : 'the delivery itself errs by more than the plate’s grain'
  const ratio = (b: Block, c: 0 | 1 | 2) => Math.sqrt((b.added[c] + b.held[c]) / b.wanted[c])
  const ratios = hidden ? [] : ([0, 1, 2] as const).map((c) => median(clear.map((b) => ratio(b, c))))
  const parts: Part[] = [
    hidden
      ? { tell: 'grain-amount', why }
      : amount(name, ratios, sureness(clear, norm), whyOf(clear, norm, fitted)),
    hidden ? { tell: 'grain-size', why } : size(name, clear, norm),
    still(name, blocks, looks),
  ]
  return {
    verdicts: parts.flatMap((p) => (p.verdict === undefined ? [] : [{ ...base, ...p.verdict }])),
    undecided: parts.flatMap((p) =>
      p.why === undefined ? [] : [{ tell: p.tell, link: 'sensor', why: p.why }],
    ),
    measured: hidden ? {} : { ratio: ratios },
  }
}

/** Blocks count as of like level within this factor, three quarters of a stop. */
const LIKE = 1.7

/** Eighths of an octave: within one the error is looked up once. */
const FINE = 8

/** Variance of green that the delivery adds by itself at a level: middle of the untouched blocks of like level, or of all. */
function deliveryError(untouched: readonly Untouched[]): (level: number) => number {
  const known = new Map<number, number>()
  return (level) => {
    const step = Math.round(FINE * log2(Math.max(level, 1e-6)))
    let error = known.get(step)
    if (error === undefined) {
      const middle = pow(2, step / FINE)
      const like = untouched.filter((u) => u.level[1] > middle / LIKE && u.level[1] < middle * LIKE)
      const from = like.length >= LEAST_BLOCKS ? like : untouched
      error = from.length === 0 ? 0 : median(from.map((u) => u.variance[1]))
      known.set(step, error)
    }
    return error
  }
}

function size(name: string, blocks: readonly Block[], norm: GrainMeasure): Part {
  const tell = 'grain-size'
  const lags = blocks.map((b) => b.lag).filter((v) => !Number.isNaN(v))
  if (lags.length < LEAST_BLOCKS) return { tell, why: 'too little grain was added for its size to be seen' }
  const own = median(lags)
  const expected = median(blocks.map((b) => shownInBlock(norm, 1, b.level[1]).lag))
  if (Math.abs(own - expected) <= 0.2) return { tell }
  return {
    tell,
    verdict: {
      tell,
      unit: '–',
      measured: own,
      expected,
      limit: 0.2,
      confidence: 0.6,
      sentence: `The grain of ${name} is ${own > expected ? 'coarser' : 'finer'} than the plate's.`,
      cause:
        own > expected
          ? 'A codec or a later step smeared it.'
          : 'The grain added is whiter than the plate’s.',
      remedy: 'Fit again, so that the correlation of the plate’s grain is measured.',
      contrast: Math.abs(own - expected) / 0.2,
    },
  }
}

function still(name: string, blocks: readonly Block[], looks: readonly GrainLook[]): Part {
  const tell = 'frozen-grain'
  const grainy = blocks.filter((b) => b.own > ENOUGH && !Number.isNaN(b.frozen))
  const plate = looks.flatMap((l) => l.plateFrozen)
  if (grainy.length < LEAST_BLOCKS)
    return { tell, why: 'the element brings no grain of its own that could stand still' }
  if (plate.length < LEAST_BLOCKS) return { tell, why: 'the plate has no untouched place to compare with' }
  const own = median(grainy.map((b) => b.frozen))
  const norm = median(plate)
  // Texture stands still too: of what should be new, half of what the plate has of it (white noise: 1.25) is no grain that stands.
  const fresh = median(grainy.map((b) => b.fresh))
  const freshNorm = Math.min(median(looks.flatMap((l) => l.plateFresh)), 1.25)
  if (own - norm <= 0.3 || fresh >= freshNorm / 2) return { tell }
  return {
    tell,
    verdict: {
      tell,
      unit: '–',
      measured: own,
      expected: norm,
      limit: norm + 0.3,
      confidence: 0.6,
      sentence: `The grain of ${name} stands still from frame to frame.`,
      cause: 'A still or a repeated frame carries its grain along.',
      remedy: 'Use the element at its true rate, or a denoised still with the grain topped up.',
      contrast: (own - norm) / 0.3,
    },
  }
}
