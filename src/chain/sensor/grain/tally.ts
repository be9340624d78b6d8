/** Sums of noise by level and of its products with neighbours and other channels, in groups of places (`places.ts`). */
import { STEPS, stepOf } from './axis.js'
import type { Block } from './block.js'
import { noneApart, PAIRS6 } from './cells.js'
import { withoutMean } from './detrended.js'
import { type Four, meanOff } from './meanOff.js'
import { GROUPS } from './places.js'

/** Right by one and two, down by one and two. */
export const LAGS = [
  [1, 0],
  [2, 0],
  [0, 1],
  [0, 2],
] as const
/** RG, RB, GB. */
export const PAIRS = [
  [0, 1],
  [0, 2],
  [1, 2],
] as const
/** Of a group: 3 powers, 3 mixes, 12 lags of one channel, 12 of two. */
const PRODUCTS = 30
/** Each brings what a mean took nearer by its tenth. */
const ROUNDS = 8

/** Correlation of noise with its neighbours and between channels. */
export interface NoiseCorrelation {
  /** Per channel: one and two pixels to the right, one and two below. */
  readonly lags: readonly (readonly [number, number, number, number])[]
  /** The same of RG, RB, GB. */
  readonly cross: readonly (readonly [number, number, number, number])[]
  /** At the pixel itself: RG, RB, GB. */
  readonly mix: readonly [number, number, number]
}

export class Tally {
  /** Per group, channel and step: pixels, Σ level, Σ noise². */
  readonly levels = new Float64Array(GROUPS * 3 * STEPS * 3)
  readonly products = new Float64Array(GROUPS * PRODUCTS)
  /** What was taken off those for rounding. */
  readonly rounded = new Float64Array(GROUPS * PRODUCTS)
  /** What cells differ by, their means with them. */
  readonly apart = noneApart()
  blocks = 0
  /** Those whose products were added. */
  counted = 0
  /** Of a block whose products were added. */
  pixels = 256
  /** Of those, the ones that are the same in both frames to the last code. */
  frozen = 0
  /** Sum over the blocks: how far σ² may be off for their choice, one standard deviation, a share of it. */
  doubt = 0

  /** Each pixel at its own level. */
  addLevels(block: Block, group: number): void {
    for (const c of [0, 1, 2] as const) {
      const base = (group * 3 + c) * STEPS
      for (let i = 0; i < block.pixels; i++) {
        const level = block.level[c][i] as number
        const e = block.noise[c][i] as number
        const at = 3 * (base + stepOf(level))
        this.levels[at] = (this.levels[at] as number) + 1
        this.levels[at + 1] = (this.levels[at + 1] as number) + level
        this.levels[at + 2] = (this.levels[at + 2] as number) + e * e
      }
    }
    this.blocks++
  }

  /**
   * @param noise of R, G, B, each pixel over the deviation that its level has: all pixels weigh the same
   * @param rounding share of each channel's variance that is none of the noise's @param alike how that is correlated
   */
  addProducts(
    noise: readonly [Float64Array, Float64Array, Float64Array],
    size: number,
    rounding: readonly number[],
    alike: NoiseCorrelation,
    group: number,
  ): void {
    const at = group * PRODUCTS
    this.counted++
    const [p, off] = [this.products, this.rounded]
    const add = (i: number, v: number, less: number) => {
      p[at + i] = (p[at + i] as number) + v - less
      off[at + i] = (off[at + i] as number) + less
    }
    this.pixels = size * size
    for (const c of [0, 1, 2] as const) {
      add(c, product(noise[c], noise[c], size, 0, 0), rounding[c] as number)
      LAGS.forEach(([dx, dy], k) => {
        const less = (rounding[c] as number) * (alike.lags[c]?.[k] as number)
        add(6 + 4 * c + k, product(noise[c], noise[c], size, dx, dy), less)
      })
    }
    PAIRS.forEach(([a, b], i) => {
      const both = Math.sqrt((rounding[a] as number) * (rounding[b] as number))
      add(3 + i, product(noise[a], noise[b], size, 0, 0), both * (alike.mix[i] as number))
      LAGS.forEach(([dx, dy], k) => {
        const there = product(noise[a], noise[b], size, dx, dy) + product(noise[b], noise[a], size, dx, dy)
        add(18 + 4 * i + k, there / 2, both * (alike.cross[i]?.[k] as number))
      })
    })
  }

  /** Variance of a channel at a step and its neighbours; undefined where hardly a pixel was seen. */
  varianceAt(c: number, step: number): number | undefined {
    let [n, square] = [0, 0]
    for (let g = 0; g < GROUPS; g++) {
      for (let s = Math.max(0, step - 1); s <= Math.min(STEPS - 1, step + 1); s++) {
        const at = 3 * ((g * 3 + c) * STEPS + s)
        n += this.levels[at] as number
        square += this.levels[at + 2] as number
      }
    }
    return n < 64 || square === 0 ? undefined : square / n
  }

  /** Of green, of some steps. */
  meanLevel(from: number, to: number): number {
    let [n, sum] = [0, 0]
    for (let g = 0; g < GROUPS; g++) {
      for (let s = from; s < to; s++) {
        const at = 3 * ((g * 3 + 1) * STEPS + s)
        n += this.levels[at] as number
        sum += this.levels[at + 1] as number
      }
    }
    return sum / n
  }
}

/** What blotches add to each product of a block less its mean, whose white noise is 1. @param v of PAIRS6, in that unit */
export function coarseProducts(v: readonly number[], size: number, side: number): Float64Array {
  const out = new Float64Array(PRODUCTS)
  const white = 1 - 1 / side ** 2
  const at = LAGS.map(([dx, dy]) => withoutMean(dx + dy, size, side) / white)
  const here = withoutMean(0, size, side) / white
  PAIRS6.forEach((_, p) => {
    out[p] = (v[p] as number) * here
    at.forEach((l, k) => {
      out[6 + 4 * p + k] = (v[p] as number) * l
    })
  })
  return out
}

/** Mean of a(x, y) · b(x + dx, y + dy) over the pairs inside the block. */
function product(a: Float64Array, b: Float64Array, size: number, dx: number, dy: number): number {
  let sum = 0
  const away = dy * size + dx
  for (let y = 0; y + dy < size; y++) {
    for (let i = y * size; i < y * size + size - dx; i++) sum += (a[i] as number) * (b[i + away] as number)
  }
  return sum / ((size - dx) * (size - dy))
}

export interface Products {
  readonly lags: [number, number, number, number][]
  readonly cross: [number, number, number, number][]
  readonly mix: [number, number, number]
  /** Of each channel, the share of the variance that blocks lost with their means. */
  readonly lost: readonly number[]
}

/**
 * Correlations of all groups but one, or of all, with what rounding adds or without. A block's own mean was taken off (`meanOff.ts`): that is
 * put back.
 *
 * @param less of a block, another part that is taken off
 */
export function productsOf(
  { products, rounded, pixels, counted }: Tally,
  without = -1,
  rounding: 'off' | 'in' = 'off',
  less?: Float64Array,
): Products {
  const sum = new Float64Array(PRODUCTS)
  if (less !== undefined) for (let i = 0; i < PRODUCTS; i++) sum[i] = -counted * (less[i] as number)
  for (let g = 0; g < GROUPS; g++) {
    if (g === without) continue
    for (let i = 0; i < PRODUCTS; i++) {
      const at = g * PRODUCTS + i
      sum[i] =
        (sum[i] as number) + (products[at] as number) + (rounding === 'in' ? (rounded[at] as number) : 0)
    }
  }
  const four = (start: number) => [0, 1, 2, 3].map((k) => sum[start + k] as number) as Four
  const own = [0, 1, 2].map((c) => whole(Math.max(sum[c] as number, 1e-30), four(6 + 4 * c), pixels))
  const pairs = [0, 1, 2].map((i) => whole(sum[3 + i] as number, four(18 + 4 * i), pixels))
  const both = PAIRS.map(([a, b]) => Math.sqrt((own[a] as Whole).power * (own[b] as Whole).power))
  const over = (v: Four, by: number) => v.map((x) => within(x / by)) as Four
  return {
    lags: own.map((o) => over(o.lags, o.power)),
    cross: pairs.map((p, i) => over(p.lags, both[i] as number)),
    mix: pairs.map((p, i) => within(p.power / (both[i] as number))) as [number, number, number],
    lost: own.map((o) => o.lost),
  }
}

interface Whole {
  readonly power: number
  readonly lags: Four
  /** Share of the variance that was taken off with the mean. */
  readonly lost: number
}

/** By repetition: what the mean takes depends on what is sought. */
function whole(power: number, lags: Four, pixels: number): Whole {
  const side = Math.sqrt(pixels)
  let [lost, full] = [0, power]
  let alike = lags.map((v) => (power === 0 ? 0 : within(v / power))) as Four
  for (let i = 0; i < ROUNDS; i++) {
    const off = meanOff(alike, side)
    lost = off.lost
    full = power / (1 - lost)
    alike = lags.map((v, k) => (full === 0 ? 0 : within(v / full + (off.less[k] as number)))) as Four
  }
  return { power: full, lags: alike.map((v) => v * full) as Four, lost }
}

/** A correlation; chance may carry what few pixels say beyond it. */
function within(v: number): number {
  return Math.min(Math.max(v, -1), 1)
}
