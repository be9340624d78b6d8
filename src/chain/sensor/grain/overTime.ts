/**
 * Noise over time: what two frames differ by where they can be laid over each other.
 *
 * Blocks whose difference is far beyond that of others at their level hold something that moved: log ratio above the middle by three
 * robust deviations and 0.5. Where the whole picture moves, a sharp one is between its pixels not what a straight line says: of blocks of
 * like level those are believed that are noise alone (`lowTail.ts`).
 *
 * Source: [emva1288] (half the variance of the difference of a pair).
 */
import { ln, median, robustSigma } from '../../../core/index.js'
import { STEPS, stepOf } from './axis.js'
import type { Block } from './block.js'
import { Cells } from './cells.js'
import { type Look, lookHeld, type Seen } from './look.js'
import { coarseness, noiseOf } from './lowTail.js'
import { groupOf } from './places.js'
import type { NoiseCorrelation, Tally } from './tally.js'

/** Blocks that go into one middle. */
const ALIKE = 60
const BEYOND = 3
/**
 * Times the square of a block's mean that nine in ten keep to: beyond, the light changed there. Of normal numbers (χ² with one degree of
 * freedom at the least) that leaves out one block in 4,000 and 0.4 % of the sum of squares.
 */
const CHANGED = 5
/** Of a plate that says nothing better: share of the blocks that count as flat. A choice. */
const FLAT = 0.4

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

/** Adds a pair's noise to `tally`: that of blocks which hold still, or of those which move and are noise alone. */
export function addPair(look: Look, clip: number, rounding: Rounding, tally: Tally): void {
  const { block, seen, moves } = look
  const { used, doubt } = moves ? alone(seen, block.pixels) : { used: still(lookHeld(look)), doubt: 0 }
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

/** Of blocks of like level the flattest two fifths by their coarse shape, which hardly depends on the noise, less those that moved. */
function evenOnes(seen: readonly Seen[]): readonly Seen[] {
  return still(
    alike(seen).flatMap((own) =>
      own.toSorted((a, b) => a.evenness - b.evenness).slice(0, Math.ceil(FLAT * own.length)),
    ),
  )
}

/** Mean over the channels of one in units of the other. */
function share(of: readonly number[], norm: readonly number[]): number {
  return of.reduce((sum, v, c) => sum + v / (norm[c] as number), 0) / 3
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
