/**
 * The coarse part of grain: how much of it lies in blotches many pixels wide, how wide they are, and how their channels go together.
 *
 *   C_ab(m) = V_ab · G(m)      m = 8, 12 px      G  blotches' correlation (`blotch.ts`), of means over 4×4 px
 *   T = F + V                  lag by lag: fine = all − V · ρ(lag)
 *
 *   C  covariance of cells at a distance at which fine grain is not alike      V  coarse      T  all of it, block means included
 *
 * V is the least-squares answer at the size that fits best. Taken only where the channels' sum is beyond chance, three spreads by leaving
 * out a group each [efron1982], and worth having. Source: covariance of a sum of independent parts; common practice.
 */
import { blotchLag } from './blotch.js'
import { GROUPS, type Products } from './tally.js'
import { AT, CELL, MOMENTS, PAIRS6, type Whole16 } from './whole.js'

const SIZES = [4, 5, 6, 7, 8, 9, 10, 12, 14, 17, 20, 24]
const CHANCE = 3
/** Share of all that blotches must have. */
const WORTH = 0.02
const LEAST_BLOCKS = 60
/** Of their σ: their shape is not just the one that is fitted, and of blotches laid on known pictures often half is found. */
const SHAPE = 0.5
/** Blocks of like level that say by themselves how much is coarse there. */
const OWN_LEVEL = 250
const MOST_LEVELS = 4
/** Times the mean square that nine in ten blocks keep to: beyond, something moved. */
const MOVED = 3

export interface Blotches {
  /** px */
  readonly size: number
  /** Of their σ, one standard deviation, a share of it. */
  readonly spread: number
  /** Correlation RG, RB, GB. */
  readonly mix: readonly [number, number, number]
  /** Of a level of green: share of the variance, and all of it over what blocks show less their means, of R, G, B. */
  readonly parts: readonly {
    readonly level: number
    readonly share: readonly number[]
    readonly whole: readonly number[]
  }[]
  /** Of the fine part. */
  readonly fine: Omit<Products, 'lost'>
}

/** Undefined where grain is fine throughout, as far as the blocks tell. */
export function blotchesOf(blocks: readonly Whole16[]): Blotches | undefined {
  if (blocks.length < LEAST_BLOCKS) return undefined
  const kept = unmoved(blocks)
  const all = sumOf(kept)
  const size = SIZES.map((d) => ({ d, miss: coarseIn(all, d).miss })).reduce((a, b) =>
    b.miss < a.miss ? b : a,
  ).d
  const trace = ({ v }: { v: readonly number[] }) => (v[0] as number) + (v[1] as number) + (v[2] as number)
  const found = trace(coarseIn(all, size))
  const each = Array.from({ length: GROUPS }, (_, g) =>
    trace(coarseIn(sumOf(kept.filter((b) => b.group !== g)), size)),
  )
  const mean = each.reduce((s, v) => s + v, 0) / GROUPS
  const spread = Math.sqrt(((GROUPS - 1) / GROUPS) * each.reduce((s, v) => s + (v - mean) ** 2, 0))
  if (!(found > CHANCE * spread && found > WORTH * trace({ v: ofKind(all, AT.pixel) }))) return undefined
  const coarse = possible(coarseIn(all, size).v, ofKind(all, AT.pixel))
  return {
    size,
    spread: Math.hypot(spread / found / 2, SHAPE),
    mix: mixOf(coarse),
    parts: byLevel(kept).map((own) => partOf(own, size)),
    fine: fineOf(all, coarse, size),
  }
}

function unmoved(blocks: readonly Whole16[]): readonly Whole16[] {
  const sorted = blocks.map((b) => b.off).sort((a, b) => a - b)
  const limit = MOVED * (sorted[Math.floor(0.9 * sorted.length)] as number)
  return blocks.filter((b) => b.off <= limit)
}

interface Sum {
  readonly moments: Float64Array
}

function sumOf(blocks: readonly Whole16[]): Sum {
  const moments = new Float64Array(MOMENTS)
  for (const b of blocks) {
    for (let i = 0; i < MOMENTS; i++)
      moments[i] = (moments[i] as number) + (b.moments[i] as number) / blocks.length
  }
  return { moments }
}

function ofKind({ moments }: Sum, kind: number): number[] {
  return [...moments.subarray(6 * kind, 6 * kind + 6)]
}

/** V of the six pairs, and the square miss of all. */
function coarseIn(sum: Sum, size: number): { v: number[]; miss: number } {
  const g = [2, 3].map((m) => cellLag(CELL * m, size))
  const norm = g.reduce((s, x) => s + x * x, 0)
  const c = [ofKind(sum, AT.cell2), ofKind(sum, AT.cell3)]
  const v = PAIRS6.map((_, p) => g.reduce((s, x, i) => s + x * (c[i]?.[p] as number), 0) / norm)
  const miss = PAIRS6.reduce(
    (s, _, p) => s + g.reduce((t, x, i) => t + ((c[i]?.[p] as number) - x * (v[p] as number)) ** 2, 0),
    0,
  )
  return { v, miss }
}

/** Correlation of blotches' means over cells, `distance` apart along one axis. */
function cellLag(distance: number, size: number): number {
  let [along, beside] = [0, 0]
  for (let i = 0; i < CELL; i++)
    for (let j = 0; j < CELL; j++) {
      along += blotchLag(distance + i - j, size) / CELL ** 2
      beside += blotchLag(i - j, size) / CELL ** 2
    }
  return along * beside
}

/** What covariances can be: no channel below nothing or above all of it, no pair more alike than alike. */
function possible(v: readonly number[], total: readonly number[]): number[] {
  const own = [0, 1, 2].map((c) => Math.min(Math.max(v[c] as number, 0), 0.95 * (total[c] as number)))
  return PAIRS6.map(([a, b], p) => {
    if (a === b) return own[a] as number
    const most = Math.sqrt((own[a] as number) * (own[b] as number))
    return Math.min(Math.max(v[p] as number, -most), most)
  })
}

function mixOf(v: readonly number[]): [number, number, number] {
  return [3, 4, 5].map((p) => {
    const [a, b] = PAIRS6[p] as readonly [number, number]
    const most = Math.sqrt((v[a] as number) * (v[b] as number))
    return most > 0 ? Math.min(Math.max((v[p] as number) / most, -1), 1) : 0
  }) as [number, number, number]
}

/** Blocks of like level, where there are enough for more than one. */
function byLevel(blocks: readonly Whole16[]): Whole16[][] {
  const sorted = blocks.toSorted((a, b) => a.level - b.level)
  const n = Math.max(1, Math.min(MOST_LEVELS, Math.floor(sorted.length / OWN_LEVEL)))
  return Array.from({ length: n }, (_, i) =>
    sorted.slice((i * sorted.length) / n, ((i + 1) * sorted.length) / n),
  )
}

function partOf(blocks: readonly Whole16[], size: number): Blotches['parts'][number] {
  const sum = sumOf(blocks)
  const total = ofKind(sum, AT.pixel)
  const v = possible(coarseIn(sum, size).v, total)
  return {
    level: blocks.reduce((s, b) => s + b.level, 0) / blocks.length,
    share: [0, 1, 2].map((c) => (v[c] as number) / Math.max(total[c] as number, 1e-30)),
    whole: [0, 1, 2].map((c) => total[c] as number),
  }
}

type Four = [number, number, number, number]

function fineOf(all: Sum, v: readonly number[], size: number): Blotches['fine'] {
  const kinds = [AT.right1, AT.right2, AT.down1, AT.down2]
  const left = (kind: number, distance: number) =>
    ofKind(all, kind).map((t, p) => t - (v[p] as number) * blotchLag(distance, size))
  const now = left(AT.pixel, 0)
  const away = kinds.map((kind, i) => left(kind, 1 + (i % 2)))
  const norm = (p: number) => {
    const [a, b] = PAIRS6[p] as readonly [number, number]
    return Math.sqrt(Math.max(now[a] as number, 1e-30) * Math.max(now[b] as number, 1e-30))
  }
  const held = (x: number) => Math.min(Math.max(x, -1), 1)
  const four = (p: number) => away.map((k) => held((k[p] as number) / norm(p))) as Four
  return {
    lags: [0, 1, 2].map(four),
    cross: [3, 4, 5].map(four),
    mix: [3, 4, 5].map((p) => held((now[p] as number) / norm(p))) as [number, number, number],
  }
}
