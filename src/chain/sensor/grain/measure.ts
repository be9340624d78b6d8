/**
 * Grain meter: variance per channel and level with its spread, correlation between neighbours and between channels.
 *
 * Over time where two frames can be laid over each other (`overTime.ts`), else in single frames where they are flat (`oneFrame.ts`),
 * A codec that freezes noise makes the first too low: of a plate that stands still, frames far apart are
 * taken instead where they differ by more; where most of the picture is the same to the last code, single frames are believed.
 * Where both leave most of the picture's levels unknown, what is even over time must do, of stills the quietest blocks (`quietest.ts`).
 * What rounding to codes adds is taken off. Levels whose noise the ends of the code cut off are left out, and follow the line
 * σ² = a·L + b of the others (`line.ts`).
 *
 * Source: [foi2008], [emva1288]; more in the files of the parts.
 */
import { type FloatImage, ln, median, type Reading } from '../../../core/index.js'
import { evenOverTime } from './even.js'
import { flatProducts } from './flatProducts.js'
import { BOUND, type Found, FROZEN, LEAST_BLOCKS } from './found.js'
import { lagChance } from './lagChance.js'
import type { NoiseLine } from './line.js'
import { type Look, lookAtPair } from './look.js'
import type { Four } from './meanOff.js'
import { EVERYWHERE, type Level, noiseInFrames, type OneFrame, type Wanted } from './oneFrame.js'
import { addPair, type Rounding, UNROUNDED } from './overTime.js'
import { jackknife } from './places.js'
import { quietestBlocks } from './quietest.js'
import { fill, hypot, lineOf, plausible, rowsOf, rowsOfFrames, withEnds } from './rows.js'
import { type ShownGrain, shownGrain } from './shown.js'
import { type NoiseCorrelation, productsOf, Tally } from './tally.js'

/** Frames far apart differ by this much more than next ones where a codec freezes noise. */
const THAWED = 1.15
/** Noise is known as far as this factor beyond the levels measured; of so large a share of the picture it must be. */
const BEYOND = 1.7
const MOST_OF_IT = 0.8
/** Of σ² in the quietest blocks: more between frames is texture; of the variance of rounding: less in a block was emptied. */
const [TEXTURE, ROUNDINGS] = [4, 3]
/** Pixels that are looked at for that: one of so many. */
const EVERY = 61

/** Two successive frames in linear light; `after` is absent for stills. */
export interface GrainSample {
  readonly frame: number
  readonly image: FloatImage
  readonly after: FloatImage | undefined
}

export interface GrainMeasure extends NoiseCorrelation {
  readonly levels: readonly number[]
  /** R, G, B, one figure a level. */
  readonly variance: readonly [readonly number[], readonly number[], readonly number[]]
  /** One standard deviation of each of those. */
  readonly spread: readonly [readonly number[], readonly number[], readonly number[]]
  /** The same of the first lag, mean of both axes, of R, G, B. */
  readonly lagSpread: readonly [number, number, number]
  /** Undefined below two levels. */
  readonly lines: readonly (NoiseLine | undefined)[]
  /** The same as the file shows it: what an element must have. */
  readonly shown: ShownGrain
}

/**
 * @param clip linear value at which the plate's code ends
 * @param rounding what the plate's codes add to the variance by rounding
 */
export function measureGrain(
  samples: readonly GrainSample[],
  clip: number,
  rounding: Rounding = UNROUNDED,
): Reading<GrainMeasure> {
  const looks = looksOf(samples)
  const found = wideEnough(
    noiseFound(samples, clip, rounding, EVERYWHERE, looks),
    samples,
    looks,
    clip,
    rounding,
  )
  if ('cannotTell' in found) return found
  const { rows, tally, method, sure } = found
  const lines = [0, 1, 2].map((c) => lineOf(rows, c))
  if (sure) withEnds(rows, lines, clip)
  const levels = rows.map((r) => r.level)
  const filled = [0, 1, 2].map((c) => fill(rows, c, lines[c]))
  const { lost: _, ...products } = productsOf(tally)
  const lagSpread = lagSpreads(tally, products.lags)
  const variance = filled.map((f) => f.map((v) => v.variance))
  const spread = filled.map((f) => f.map((v) => v.spread))
  const value = {
    ...{ levels, lines, ...products },
    variance: variance as [number[], number[], number[]],
    spread: spread as [number[], number[], number[]],
    lagSpread,
    shown: shownGrain(rows, variance, tally, rounding, found.blocks),
  }
  const relative = median((spread[1] as number[]).map((s, i) => s / ((variance[1] as number[])[i] as number)))
  return {
    value,
    evidence: {
      kind: 'measured',
      frames: samples.map((s) => s.frame),
      method: `${method}, at ${levels.length} levels`,
      spread: relative * median(variance[1] as number[]),
      confidence: found.confidence ?? Math.min(0.95, Math.max(0.2, 0.95 - 2 * relative)),
    },
  }
}

/** Over time, unless the plate moves: texture then stands above the noise both ways, and the lower way is nearer to it. */
function quieter(
  over: Found | undefined,
  single: () => Found | { cannotTell: string },
): Found | { cannotTell: string } {
  if (over?.sure) return over
  const other = single()
  if (over === undefined) return other
  if ('cannotTell' in other) return over
  const noise = ({ rows }: Found) =>
    median(rows.flatMap((r) => (r.variance[1] === undefined ? [] : [r.variance[1] / (r.level + 0.02)])))
  return noise(other) < noise(over) ? other : over
}

/** Each sample beside the frame after it. */
function looksOf(samples: readonly GrainSample[], only: Wanted = EVERYWHERE): readonly Look[] {
  return samples.flatMap(({ image, after }) => (after === undefined ? [] : [lookAtPair(image, after, only)]))
}

/** @param only blocks that are looked at @param looks the samples' */
export function noiseFound(
  samples: readonly GrainSample[],
  clip: number,
  rounding: Rounding,
  only: Wanted = EVERYWHERE,
  looks = looksOf(samples, only),
): Found | { cannotTell: string } {
  const images = samples.map((s) => s.image)
  return quieter(overTime(samples, looks, clip, rounding, only), () => inFrames(images, clip, rounding, only))
}

/** What was found, unless it leaves most of the picture's levels unknown. */
function wideEnough(
  found: Found | { cannotTell: string },
  samples: readonly GrainSample[],
  looks: readonly Look[],
  clip: number,
  rounding: Rounding,
): Found | { cannotTell: string } {
  if (!('cannotTell' in found)) {
    const levels = found.rows.map((r) => r.level)
    const [least, most] = [Math.min(...levels) / BEYOND, Math.max(...levels) * BEYOND]
    if (found.sure || sharedWithin(samples, least, most) > MOST_OF_IT) return found
  }
  const even = evenOverTime(looks, clip, rounding)
  const look = quietestBlocks(samples, clip)
  if (even !== undefined && !texture(even, look, rounding)) return even
  // Rounding stays in: a codec leaves less than it, and taking it off would leave nothing.
  // An even picture has many groups of one level.
  const rows = rowsOfFrames(look, UNROUNDED).filter((r, i, all) => r.level > (all[i - 1]?.level ?? -1))
  if (rows.length === 0) return found
  const method = `variance of the flattest tenth of ${look.blocks} blocks of ${look.size} px`
  return {
    rows,
    tally: flatProducts(look, UNROUNDED),
    method,
    sure: false,
    blocks: 'whole',
    confidence: BOUND,
  }
}

/**
 * Whether what is even over time is texture for the most part: noise is in the quietest blocks of single frames too, unless a codec emptied
 * them, and then they hold hardly more than rounding.
 */
function texture({ rows }: Found, { levels }: OneFrame, rounding: Rounding): boolean {
  const ratios = rows.flatMap((row) => {
    const near = nearest(levels, row.level)
    return [0, 1, 2].flatMap((c) => {
      const [over, own] = [row.variance[c], near?.variance[c]]
      if (over === undefined || own === undefined) return []
      return own > ROUNDINGS * rounding.variance(c, row.level) ? [over / own] : [0]
    })
  })
  return ratios.length > 0 && median(ratios) > TEXTURE
}

function nearest(levels: readonly Level[], level: number): Level | undefined {
  const off = (l: Level) => Math.abs(ln(l.level / level))
  return levels.reduce<Level | undefined>((a, l) => (a === undefined || off(l) < off(a) ? l : a), undefined)
}

/** Share of the pixels whose green lies between two levels. */
function sharedWithin(samples: readonly GrainSample[], least: number, most: number): number {
  let [inside, all] = [0, 0]
  for (const {
    image: { data },
  } of samples) {
    for (let i = 1; i < data.length; i += 4 * EVERY, all++) {
      const v = data[i] as number
      if (v > least && v < most) inside++
    }
  }
  return inside / all
}

/** Between frames: next ones, or frames far apart where a codec froze those. Nothing where they show no noise. */
function overTime(
  samples: readonly GrainSample[],
  looks: readonly Look[],
  clip: number,
  rounding: Rounding,
  only: Wanted,
): Found | undefined {
  const { tally, how } = still(samples, looks, clip, rounding, only)
  if (tally.blocks < LEAST_BLOCKS || tally.frozen > FROZEN * tally.blocks) return undefined
  const all = rowsOf(tally, clip, rounding)
  const rows = tally.doubt > 0 ? plausible(all) : all
  const method = `difference of ${how} frames in ${tally.blocks} blocks that hold still`
  return rows.length === 0
    ? undefined
    : { rows, tally, method, sure: tally.doubt === 0, blocks: 'less their means' }
}

function inFrames(
  images: readonly FloatImage[],
  clip: number,
  rounding: Rounding,
  only: Wanted,
): Found | { cannotTell: string } {
  const look = noiseInFrames(images, clip, only)
  const rows = plausible(rowsOfFrames(look, rounding))
  const all = `${look.blocks} unclipped blocks of ${look.size} px`
  if (rows.length === 0) {
    return {
      cannotTell: `no two frames show noise where they lie over each other, and of ${all} too few are flat at any level`,
    }
  }
  const method = `variance of ${look.flat.length} flat ones of ${all} in single frames`
  return { rows, tally: flatProducts(look, rounding), method, sure: false, blocks: 'whole' }
}

/**
 * The greater of what chance makes of so many pixels and what places differ by: that of the three channels together, for a picture
 * may have few places.
 */
function lagSpreads(tally: Tally, lags: readonly Four[]): readonly [number, number, number] {
  const places = [0, 1, 2].map((c) =>
    jackknife((g) => {
      const own = productsOf(tally, g).lags[c] as Four
      return (own[0] + own[2]) / 2
    }),
  )
  const apart = hypot(...places) / Math.sqrt(3)
  const pairs = tally.counted * (tally.pixels - Math.sqrt(tally.pixels))
  const of = (c: number) => Math.max(apart, lagChance(lags[c] as Four, pairs))
  return [of(0), of(1), of(2)]
}

function still(
  samples: readonly GrainSample[],
  looks: readonly Look[],
  clip: number,
  rounding: Rounding,
  only: Wanted,
) {
  const near = new Tally()
  for (const look of looks) addPair(look, clip, rounding, near)
  const found = { tally: near, how: 'successive' }
  if (near.doubt > 0) return found
  const apart = (gap: number) => {
    const tally = new Tally()
    const pairs = samples.slice(gap).map((s, i) => [samples[i] as GrainSample, s] as const)
    for (const [a, b] of gap > 0 ? pairs : [])
      addPair(lookAtPair(a.image, b.image, only), clip, rounding, tally)
    const enough = tally.blocks * samples.length >= (near.blocks * pairs.length) / 2
    return tally.doubt === 0 && enough ? tally : undefined
  }
  // What a codec holds still lasts for many frames; the further apart, the more has moved by itself.
  const far = apart(samples.length >> 1) ?? apart(1)
  if (far === undefined) return found
  const [a, b] = [rowsOf(near, clip, rounding), rowsOf(far, clip, rounding)]
  const ratios = a.flatMap((row) => {
    const like = b.find((r) => Math.abs(r.level / row.level - 1) < 0.2)
    const [n, f] = [row.variance[1], like?.variance[1]]
    return n === undefined || f === undefined ? [] : [f / n]
  })
  return ratios.length > 0 && median(ratios) > THAWED ? { tally: far, how: 'far apart' } : found
}
