/**
 * Grain in the finished file: how much, how coarse, and whether it stands still.
 *
 *   amount   √(var(rendered − predicted) + keep² σ²(plate) + α² σ²element) / σ(level)    limit 0.7 to 1.4 in two channels, further by
 *            what two spreads of the norm leave open
 *   size     correlation of rendered − predicted with the next pixel, mean of x and y     limit ± 0.2 from the plate's
 *   colour   the amount's ratio of luma, and of Cb and Cr, in codes (`parted.ts`): told where one is right and the other is not
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
import { log2, median, pow, type Region } from '../../../core/index.js'
import { type Comparison, cannotTell, type Seen, type SeenElement } from '../../compare.js'
import { amount, type Part } from './amount.js'
import { shownInBlock } from './inBlock.js'
import { blockLikeness, GRAIN_BLOCK as SIZE } from './likeness.js'
import type { GrainMeasure } from './measure.js'
import type { GrainModel } from './model.js'
import { CB, type Codes, LUMA } from './parted.js'
import {
  blockMean,
  ENOUGH,
  freshOnPlate,
  type Held,
  LEAST_BLOCKS,
  LIKE,
  type SeenBlock,
  seeBlock,
  seeUntouched,
  type Untouched,
} from './seenBlock.js'

export interface GrainLook {
  readonly frame: number
  readonly blocks: readonly SeenBlock[]
  readonly untouched: readonly Untouched[]
  /** Likeness of untouched blocks with the next frame. */
  readonly plateFrozen: readonly number[]
  /** Change of their fine detail over the grain's variance at their level. */
  readonly plateFresh: readonly number[]
  readonly region: Region
}

export function lookAtGrain(seen: Seen, e: SeenElement, held: Held): GrainLook {
  const { width, height } = seen.plate.region
  const blocks: SeenBlock[] = []
  const untouched: Untouched[] = []
  const plateFrozen: number[] = []
  const plateFresh: number[] = []
  for (let y = 0; y + SIZE <= height; y += SIZE) {
    for (let x = 0; x + SIZE <= width; x += SIZE) {
      const cover = blockMean(x, y, width, (p) => e.alpha[p] as number)
      if (cover >= 1 / 3) {
        const block = seeBlock(seen, x, y, cover, held)
        if (block !== undefined) blocks.push(block)
      } else if ((x + y) % 64 === 0 && blockMean(x, y, width, (p) => seen.touched[p] as number) === 0) {
        untouched.push(seeUntouched(seen, x, y, held.codes))
        if (seen.plateAfter !== undefined) {
          plateFrozen.push(blockLikeness(seen.plate, seen.plateAfter, x, y))
          plateFresh.push(freshOnPlate(seen, x, y, held.norm))
        }
      }
    }
  }
  return { frame: seen.frame, blocks, untouched, plateFrozen, plateFresh, region: e.region }
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
  codes: Codes,
): Comparison {
  const none = (why: string) =>
    cannotTell(['grain-amount', 'grain-colour', 'grain-size', 'frozen-grain'], 'sensor', why)
  if ('cannotTell' in norm) return none(`the plate's grain is not known: ${norm.cannotTell}`)
  const blocks = looks.flatMap((l) => l.blocks)
  if (blocks.length < LEAST_BLOCKS) return none('the element covers too few unclipped places')
  const shown = looks.filter((l) => l.blocks.length > 0)
  const base = { link: 'sensor', frames: shown.map((l) => l.frame), region: (shown[0] as GrainLook).region }
  const error = deliveryError(looks.flatMap((l) => l.untouched))
  const flat = blocks.filter((b) => b.flat)
  const clearOf = (power: number) =>
    flat.filter((b) => error(b.level[1], power) < (b.wanted[power] as number))
  const clear = clearOf(1)
  const hidden = clear.length < LEAST_BLOCKS
  const why =
    flat.length < LEAST_BLOCKS
      ? 'the element is textured all over: what a codec does to texture looks like grain'
      : 'the delivery itself errs by more than the plate’s grain'
  const judged = hidden
    ? undefined
    : amount(name, { light: clear, luma: clearOf(LUMA), colour: clearOf(CB) }, { norm, fitted, codes })
  const parts: Part[] = [
    ...(judged?.parts ?? ['grain-amount', 'grain-colour'].map((tell) => ({ tell, why }))),
    hidden ? { tell: 'grain-size', why } : size(name, clear, norm),
    still(name, blocks, looks),
  ]
  return {
    verdicts: parts.flatMap((p) => (p.verdict === undefined ? [] : [{ ...base, ...p.verdict }])),
    undecided: parts.flatMap((p) =>
      p.why === undefined ? [] : [{ tell: p.tell, link: 'sensor', why: p.why }],
    ),
    measured: judged?.measured ?? {},
  }
}

/** Eighths of an octave: within one the error is looked up once. */
const FINE = 8

/** Variance that the delivery adds by itself at a level of green: middle of the untouched blocks of like level, or of all. */
function deliveryError(untouched: readonly Untouched[]): (level: number, power: number) => number {
  const known = new Map<number, readonly number[]>()
  return (level, power) => {
    const step = Math.round(FINE * log2(Math.max(level, 1e-6)))
    let error = known.get(step)
    if (error === undefined) {
      const middle = pow(2, step / FINE)
      const like = untouched.filter((u) => u.level[1] > middle / LIKE && u.level[1] < middle * LIKE)
      const from = like.length >= LEAST_BLOCKS ? like : untouched
      error = [0, 1, 2, 3, 4, 5].map((k) =>
        from.length === 0 ? 0 : median(from.map((u) => u.variance[k] as number)),
      )
      known.set(step, error)
    }
    return error[power] as number
  }
}

function size(name: string, blocks: readonly SeenBlock[], norm: GrainMeasure): Part {
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

function still(name: string, blocks: readonly SeenBlock[], looks: readonly GrainLook[]): Part {
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
