/**
 * Noise over time: what two frames differ by where they can be laid over each other.
 *
 * Blocks whose difference is far beyond that of others at their level hold something that moved: log ratio above the middle by three
 * robust deviations and 0.5. Where the whole picture moves, a sharp one is between its pixels not what a straight line says: of blocks of
 * like level those are believed that are noise alone (`lowTail.ts`). What moves goes as its neighbours go; coarse noise moves blocks too,
 * each its own way:
 *
 *   share that moved together = share that moved · Σ v·v′ / Σ (|v|² + |v′|²)/2      over blocks v and their right neighbours v′
 *
 * Source: [emva1288] (half the variance of the difference of a pair).
 */
import { type FloatImage, ln, median, robustSigma } from '../../../core/index.js'
import { stepOf } from './axis.js'
import { Block } from './block.js'
import { coarseness, noiseOf } from './lowTail.js'
import { EVERYWHERE, type Wanted } from './oneFrame.js'
import { shiftsBetween } from './shift.js'
import { groupOf, type NoiseCorrelation, type Tally } from './tally.js'

/** Pictures of fewer pixels have smaller blocks, so that there are enough of them. */
const SMALL = 500_000
/** More blocks add nothing: they are taken from all over the picture. */
const MOST_BLOCKS = 5000
/** Blocks that go into one middle. */
const ALIKE = 60
const BEYOND = 3
/** Share of the blocks that moved together, from which on the picture does. */
const MOVES = 0.1

interface Seen {
  readonly x: number
  readonly y: number
  readonly shift: readonly [number, number]
  readonly level: readonly number[]
  readonly variance: readonly number[]
  readonly lag: number
}

/** What rounding to codes adds to the light of each channel. */
export interface Rounding {
  /** At a level. */
  readonly variance: (channel: number, level: number) => number
  /** Of that with its neighbours and between the channels, whatever the level. */
  readonly correlation: NoiseCorrelation
}

/** Of codes that are not rounded. */
export const UNROUNDED: Rounding = {
  variance: () => 0,
  correlation: {
    lags: [0, 1, 2].map(() => [0, 0, 0, 0] as const),
    cross: [0, 1, 2].map(() => [0, 0, 0, 0] as const),
    mix: [0, 0, 0],
  },
}

/** Adds a pair's noise to `tally`. */
export function addPair(
  a: FloatImage,
  b: FloatImage,
  clip: number,
  rounding: Rounding,
  tally: Tally,
  only: Wanted = EVERYWHERE,
): void {
  const { width, height } = a.region
  const block = new Block(width * height < SMALL ? 8 : 16)
  const { seen, moves } = lookAt(a, b, block, only)
  const { used, doubt } = moves ? alone(seen, block.pixels) : { used: still(seen), doubt: 0 }
  tally.doubt += doubt * used.length
  for (const { x, y, shift, variance } of used) {
    block.read(a, b, x, y, ...shift)
    tally.addLevels(block, groupOf(x, y))
    if (variance.every((v) => v === 0)) tally.frozen++
  }
  for (const { x, y, shift, level } of used) {
    block.read(a, b, x, y, ...shift)
    const even = level.map((l, c) => tally.varianceAt(c, stepOf(l)) ?? Number.POSITIVE_INFINITY)
    if (!level.every((l, c) => within(l, clip, 3 * Math.sqrt(even[c] as number)))) continue
    for (const c of [0, 1, 2] as const) whiten(block, c, tally)
    const share = level.map((l, c) => Math.min(0.9, rounding.variance(c, l) / (even[c] as number)))
    tally.addProducts(block.noise, block.size, share, rounding.correlation, groupOf(x, y))
  }
}

function within(level: number, clip: number, reach: number): boolean {
  return level > reach && level < clip - reach
}

function whiten({ level, noise, pixels }: Block, c: 0 | 1 | 2, tally: Tally): void {
  const known = new Map<number, number>()
  const own = noise[c]
  for (let i = 0; i < pixels; i++) {
    const step = stepOf(level[c][i] as number)
    let by = known.get(step)
    if (by === undefined) {
      by = 1 / Math.sqrt(tally.varianceAt(c, step) ?? Number.POSITIVE_INFINITY)
      known.set(step, by)
    }
    own[i] = by * (own[i] as number)
  }
}

function still(seen: readonly Seen[]): readonly Seen[] {
  const norm = normOf(seen)
  const ratios = seen.map((s) => ln(Math.max(share(s.variance, norm(s)), 1e-3)))
  const limit = median(ratios) + BEYOND * robustSigma(ratios) + 0.5
  return seen.filter((_, i) => (ratios[i] as number) <= limit)
}

/** Of a picture that moves, the blocks that are noise alone, and how far σ² may be off for the choice, a share of it. */
function alone(seen: readonly Seen[], pixels: number): { used: Seen[]; doubt: number } {
  const used: Seen[] = []
  let doubt = 0
  for (const own of alike(seen)) {
    const quiet = own.toSorted((a, b) => (a.variance[1] as number) - (b.variance[1] as number))
    const lag = median(quiet.slice(0, Math.max(8, own.length >> 2)).map((s) => s.lag))
    const tails = [0, 1, 2].map((c) => {
      const sorted = own.map((s) => s.variance[c] as number).sort((a, b) => a - b)
      return noiseOf(sorted, (pixels - 3) / coarseness(lag, lag).fewer)
    })
    if (tails.some((t) => t === undefined)) continue
    const calm = own.filter((s) => s.variance.every((v, c) => v <= (tails[c]?.limit as number)))
    used.push(...calm)
    const off = tails.map((t) => (t === undefined || t.variance === 0 ? 1 : t.spread / t.variance))
    doubt += calm.length * Math.max(...off)
  }
  return { used, doubt: doubt / Math.max(used.length, 1) }
}

function lagOf({ noise: [, green], size, pixels }: Block): number {
  let [square, beside] = [0, 0]
  for (let i = 0; i < pixels - size; i++) {
    const v = green[i] as number
    square += v * v
    if (i % size < size - 1) beside += (v * ((green[i + 1] as number) + (green[i + size] as number))) / 2
  }
  return square === 0 ? 0 : Math.min(Math.max((beside * size) / ((size - 1) * square), 0), 0.8)
}

/** Mean over the channels of one in units of the other. */
function share(of: readonly number[], norm: readonly number[]): number {
  return of.reduce((sum, v, c) => sum + v / (norm[c] as number), 0) / 3
}

/** How block number `k` went, px. */
interface Went {
  readonly k: number
  readonly x: number
  readonly y: number
}

function lookAt(a: FloatImage, b: FloatImage, block: Block, only: Wanted): { seen: Seen[]; moves: boolean } {
  const { width, height } = a.region
  const { size, pixels } = block
  const across = Math.floor(width / size)
  const down = Math.floor(height / size)
  const all = across * down
  const stride = Math.max(1, Math.ceil(all / MOST_BLOCKS))
  const shiftAt = shiftsBetween(a, b, size)
  const seen: Seen[] = []
  let [looked, moved, together, alike] = [0, 0, 0, 0]
  let beside: Went | undefined
  for (let k = 0; k < all; k++) {
    const [i, j] = [k % across, Math.floor(k / across)]
    if ((i + 3 * j) % stride !== 0 || i === 0 || j === 0 || i === across - 1 || j === down - 1) continue
    const [x, y] = [size * i, size * j]
    if (!only(a, a.region.x + x, a.region.y + y, size)) continue
    looked++
    const shift = shiftAt(x, y)
    const read = block.read(a, b, x, y, ...shift)
    const { motion } = block
    if (motion !== undefined || shift[0] !== 0 || shift[1] !== 0) {
      moved++
      const went = { k, x: shift[0] + (motion?.[0] ?? 0), y: shift[1] + (motion?.[1] ?? 0) }
      if (beside !== undefined && k - beside.k <= stride) {
        together += went.x * beside.x + went.y * beside.y
        alike += (went.x ** 2 + went.y ** 2 + beside.x ** 2 + beside.y ** 2) / 2
      }
      beside = went
    }
    if (!read) continue
    const mean = (of: Float64Array, power: 1 | 2) => of.reduce((s, v) => s + v ** power, 0) / pixels
    seen.push({
      ...{ x, y, shift },
      level: block.level.map((l) => mean(l, 1)),
      variance: block.noise.map((e) => mean(e, 2)),
      lag: lagOf(block),
    })
  }
  return { seen, moves: alike > 0 && moved * together > MOVES * looked * alike }
}

/** About what noise has at a block's level: the middle of blocks alike. */
function normOf(seen: readonly Seen[]): (s: Seen) => readonly number[] {
  const table = alike(seen).map((own) => ({
    to: own.at(-1)?.level[1] ?? 0,
    variance: [0, 1, 2].map((c) => normal(own, c)),
  }))
  const last = table.at(-1) ?? { variance: [1, 1, 1] }
  return ({ level }) => (table.find((t) => (level[1] as number) <= t.to) ?? last).variance
}

/** Groups of like level in green. */
function alike(seen: readonly Seen[]): Seen[][] {
  const sorted = seen.toSorted((a, b) => (a.level[1] as number) - (b.level[1] as number))
  const groups = Math.max(1, Math.min(24, Math.floor(sorted.length / ALIKE)))
  return Array.from({ length: groups }, (_, g) =>
    sorted.slice((g * sorted.length) / groups, ((g + 1) * sorted.length) / groups),
  )
}

/** The middle; of a level that a codec left still for the most part, some of the mean. */
function normal(blocks: readonly Seen[], c: number): number {
  const all = blocks.map((s) => s.variance[c] as number)
  return Math.max(median(all), 0.1 * (all.reduce((s, v) => s + v, 0) / Math.max(all.length, 1)), 1e-14)
}
