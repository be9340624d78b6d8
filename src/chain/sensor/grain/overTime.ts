/**
 * Noise over time: what two frames differ by where they can be laid over each other.
 *
 * Blocks whose difference is far beyond that of others at their level hold something that moved: log ratio above the middle by three
 * robust deviations and 0.5. Where the whole picture moves, a sharp one is between its pixels not what a straight line says: of blocks of
 * like level those are believed that are noise alone (`lowTail.ts`). What moves goes as what lies 64 px and more beside it goes; coarse
 * noise seems to move blocks too, but those so far apart each its own way:
 *
 *   share that moved together = share that moved · Σ v·v′ / Σ (|v|² + |v′|²)/2      over blocks v and those beside them v′
 *
 * Source: [emva1288] (half the variance of the difference of a pair).
 */
import { type FloatImage, ln, median, robustSigma } from '../../../core/index.js'
import { STEPS, stepOf } from './axis.js'
import { Block } from './block.js'
import { Cells } from './cells.js'
import { coarseness, noiseOf } from './lowTail.js'
import { EVERYWHERE, type Wanted } from './oneFrame.js'
import { groupOf } from './places.js'
import { shiftsBetween } from './shift.js'
import type { NoiseCorrelation, Tally } from './tally.js'

/** Pictures of fewer pixels have smaller blocks, so that there are enough of them. */
const SMALL = 500_000
/** More blocks add nothing: they are taken from all over the picture, in patches of this side, px, so that what is coarse shows too. */
const MOST_BLOCKS = 5000
const PATCH = 64
/** Blocks that go into one middle. */
const ALIKE = 60
const BEYOND = 3
/** Share of the blocks that moved together, from which on the picture does. */
const MOVES = 0.1
/**
 * Times the square of a block's mean that nine in ten keep to: beyond, the light changed there. Of normal numbers (χ² with one degree of
 * freedom at the least) that leaves out one block in 4,000 and 0.4 % of the sum of squares.
 */
const CHANGED = 5
/** Of a plate that says nothing better: share of the blocks that count as flat, and of those that count as not moved. Choices. */
const FLAT = 0.4
const QUIET = 0.95

interface Seen {
  readonly x: number
  readonly y: number
  readonly shift: readonly [number, number]
  /** Whether nothing is taken for motion there. */
  readonly held: boolean
  readonly level: readonly number[]
  readonly variance: readonly number[]
  /** Mean of the difference, over the level: what a lamp's flicker makes of it is alike all over. */
  readonly rise: readonly number[]
  readonly lag: number
  /** Mean square of what its coarse shape leaves of a slope, over the level: texture, or the edge of something. */
  readonly evenness: number
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

/** Two frames of one plate, and what their blocks show of each other. */
export interface Look {
  readonly a: FloatImage
  readonly b: FloatImage
  readonly only: Wanted
  readonly block: Block
  readonly seen: readonly Seen[]
  readonly moves: boolean
}

export function lookAtPair(a: FloatImage, b: FloatImage, only: Wanted = EVERYWHERE): Look {
  const { width, height } = a.region
  const block = new Block(width * height < SMALL ? 8 : 16)
  return { a, b, only, block, ...lookAt(a, b, block, only) }
}

/** Adds a pair's noise to `tally`: that of blocks which hold still, or of those which move and are noise alone. */
export function addPair(look: Look, clip: number, rounding: Rounding, tally: Tally): void {
  const { a, b, only, block, seen, moves } = look
  const { used, doubt } = moves
    ? alone(seen, block.pixels)
    : { used: still(lookAt(a, b, block, only, true).seen), doubt: 0 }
  tally.doubt += doubt * used.length
  add(look, used, clip, rounding, tally)
}

/** The same of what is even, whether it is noise alone or not, for plates of which nothing else tells. */
export function addEven(look: Look, clip: number, rounding: Rounding, tally: Tally): void {
  add(look, evenOnes(look.seen), clip, rounding, tally)
}

function add(
  { a, b, block }: Look,
  used: readonly Seen[],
  clip: number,
  rounding: Rounding,
  tally: Tally,
): void {
  for (const { x, y, shift, held, variance } of used) {
    block.read(a, b, x, y, ...shift, held)
    tally.addLevels(block, groupOf(x, y))
    if (variance.every((v) => v === 0)) tally.frozen++
  }
  const flicker = [0, 1, 2].map((c) => median(used.map((s) => s.rise[c] as number)))
  const cells = new Cells(a.region.width, a.region.height)
  const norms = [0, 1, 2].map((c) =>
    Float64Array.from({ length: STEPS }, (_, s) => tally.varianceAt(c, s) ?? Number.POSITIVE_INFINITY),
  )
  const put: { x: number; y: number; off: number }[] = []
  for (const { x, y, shift, held, level } of used) {
    block.read(a, b, x, y, ...shift, held)
    const norm = level.map((l, c) => norms[c]?.[stepOf(l)] as number)
    if (!level.every((l, c) => within(l, clip, 3 * Math.sqrt(norm[c] as number)))) continue
    const mean = level.map((l, c) => block.offset[c as 0 | 1 | 2] - (flicker[c] as number) * l)
    for (const c of [0, 1, 2] as const) whiten(block, c, flicker[c] as number, norms[c] as Float64Array)
    const share = level.map((l, c) => Math.min(0.9, rounding.variance(c, l) / (norm[c] as number)))
    tally.addProducts(block.noise, block.size, share, rounding.correlation, groupOf(x, y))
    cells.put(block, x, y, shift)
    put.push({ x, y, off: mean.reduce((sum, v, c) => sum + (v * v) / (norm[c] as number), 0) })
  }
  const sorted = put.map((p) => p.off).sort((a, b) => a - b)
  const limit = CHANGED * (sorted[Math.floor(0.9 * sorted.length)] as number)
  for (const { x, y, off } of put) if (off > limit) cells.forget(x, y, block.size)
  cells.addTo(tally.apart)
}

function within(level: number, clip: number, reach: number): boolean {
  return level > reach && level < clip - reach
}

/** Noise over the deviation of each pixel's level. @param flicker over the level: what it adds to the whole of it is taken off */
function whiten(block: Block, c: 0 | 1 | 2, flicker: number, norm: Float64Array): void {
  const [level, own, whole] = [block.level[c], block.noise[c], block.whole[c]]
  for (let i = 0; i < block.pixels; i++) {
    const by = 1 / Math.sqrt(norm[stepOf(level[i] as number)] as number)
    whole[i] = by * ((whole[i] as number) - flicker * (level[i] as number))
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

/**
 * Of blocks of like level the flattest two fifths by their coarse shape, which hardly depends on the noise, less the twentieth of them
 * that differs most: those moved.
 */
function evenOnes(seen: readonly Seen[]): Seen[] {
  return alike(seen).flatMap((own) => {
    const flat = own.toSorted((a, b) => a.evenness - b.evenness).slice(0, Math.ceil(FLAT * own.length))
    const loud = (s: Seen) => s.variance.reduce((sum, v) => sum + v, 0)
    return flat.toSorted((a, b) => loud(a) - loud(b)).slice(0, Math.ceil(QUIET * flat.length))
  })
}

const cells16 = new Float64Array(16)

function evennessOf({ level, size }: Block): number {
  const cell = size / 4
  let sum = 0
  for (const own of level) {
    cells16.fill(0)
    for (let y = 0, i = 0; y < size; y++) {
      const row = 4 * Math.floor(y / cell)
      for (let x = 0; x < size; x++, i++) {
        const k = row + Math.floor(x / cell)
        cells16[k] = (cells16[k] as number) + (own[i] as number)
      }
    }
    let [all, across, down, square] = [0, 0, 0, 0]
    for (let k = 0; k < 16; k++) {
      const v = (cells16[k] as number) / cell ** 2
      all += v
      across += v * ((k % 4) - 1.5)
      down += v * ((k >> 2) - 1.5)
      square += v * v
    }
    const rest = square - all ** 2 / 16 - (across ** 2 + down ** 2) / 20
    sum += Math.max(0, rest) / 16 / (Math.max(all / 16, 0) + 0.02)
  }
  return sum
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

/** @param held nothing moves */
function lookAt(
  a: FloatImage,
  b: FloatImage,
  block: Block,
  only: Wanted,
  held = false,
): { seen: Seen[]; moves: boolean } {
  const { width, height } = a.region
  const { size } = block
  const across = Math.floor(width / size)
  const down = Math.floor(height / size)
  const all = across * down
  const stride = Math.max(1, Math.ceil(all / MOST_BLOCKS))
  const still: [number, number] = [0, 0]
  const shiftAt = held ? () => still : shiftsBetween(a, b, size)
  const seen: Seen[] = []
  const patch = PATCH / size
  const went = new Map<number, readonly [number, number]>()
  let [looked, together, alike] = [0, 0, 0]
  for (let k = 0; k < all; k++) {
    const [i, j] = [k % across, Math.floor(k / across)]
    const here = Math.floor(i / patch) + 3 * Math.floor(j / patch)
    if (here % stride !== 0 || i === 0 || j === 0 || i === across - 1 || j === down - 1) continue
    const [x, y] = [size * i, size * j]
    if (!only(a, a.region.x + x, a.region.y + y, size)) continue
    looked++
    const shift = shiftAt(x, y)
    const read = block.read(a, b, x, y, ...shift, held)
    const { motion } = block
    if (motion !== undefined || shift[0] !== 0 || shift[1] !== 0) {
      const v = [shift[0] + (motion?.[0] ?? 0), shift[1] + (motion?.[1] ?? 0)] as const
      const beside = i < patch * stride ? undefined : went.get(k - patch * stride)
      went.set(k, v)
      if (beside !== undefined) {
        together += v[0] * beside[0] + v[1] * beside[1]
        alike += (v[0] ** 2 + v[1] ** 2 + beside[0] ** 2 + beside[1] ** 2) / 2
      }
    }
    if (!read) continue
    const level = block.level.map(meanOf)
    seen.push({
      ...{ x, y, shift, held, level, evenness: evennessOf(block) },
      rise: level.map((l, c) => (l > 0 ? block.offset[c as 0 | 1 | 2] / l : 0)),
      variance: block.noise.map(squareOf),
      lag: lagOf(block),
    })
  }
  return { seen, moves: alike > 0 && went.size * together > MOVES * looked * alike }
}

function meanOf(of: Float64Array): number {
  let sum = 0
  for (const v of of) sum += v
  return sum / of.length
}

function squareOf(of: Float64Array): number {
  let sum = 0
  for (const v of of) sum += v * v
  return sum / of.length
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
