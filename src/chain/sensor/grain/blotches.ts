/**
 * The coarse part of grain: how much of it lies in blotches many pixels wide, how wide they are, and how their channels go together.
 *
 *   γ_ab(h) / √(w_a(h) w_b(h)) = p_ab − V_ab/√(W_a W_b) · G(h)      h = 6 … 48 px
 *
 *   γ, w  of cells (`cells.ts`)      W  variance of all cells      G  blotches' correlation (`blotch.ts`), of means over cells
 *   V  covariance of the blotches      p  about the correlation of all
 *
 * V and p are the least-squares answer, each distance weighing as much as it has pairs of cells, at the size that fits best. Taken only
 * where the channels' sum is beyond chance, three spreads by leaving out a group of places each [efron1982], and worth having. What the
 * blocks show of fine grain is their sum less the part that such blotches have in blocks less their means (`detrended.ts`).
 *
 * Source: [matheron1963], [cressie1985] for the weights.
 */
import { STEPS } from './axis.js'
import { blotchLag } from './blotch.js'
import { APART, type Apart, CELL, PAIRS6, PARTS, PER_STEP } from './cells.js'
import { withoutMean } from './detrended.js'
import { GROUPS, jackknife } from './places.js'
import { coarseProducts, type Products, productsOf, type Tally } from './tally.js'

/** Sizes that are tried, px: a sixteenth of an octave apart. */
const [LEAST, SIZES] = [3, 56]
const CHANCE = 3
/** Share of all that blotches must have. */
const WORTH = 0.02
/** Pairs of cells at the least distance: of a picture, and of levels that say by themselves how much is coarse there. */
const [FEW, OWN_LEVEL] = [8_000, 30_000]
const MOST_LEVELS = 4
/** Of the blotches' σ and of their size, beyond what leaving out tells: few are seen, and 4:2:0 widens them. As the round trips have it. */
const [MODEL, WIDER] = [0.025, 0.04]

type Three = readonly [number, number, number]

export interface Blotches {
  /** px */
  readonly size: number
  readonly sizeSpread: number
  /** Of their σ at a level, one standard deviation, a share of it, of R, G, B. */
  readonly spread: Three
  /** Correlation RG, RB, GB, and one standard deviation of them. */
  readonly mix: Three
  readonly mixSpread: number
  /** Of a level of green: share of the variance, and all of it over what blocks show less their means, of R, G, B. */
  readonly parts: readonly {
    readonly level: number
    readonly share: readonly number[]
    readonly whole: readonly number[]
  }[]
  /** Of the fine part. */
  readonly fine: Omit<Products, 'lost'>
}

/** Whether enough was seen over time: in one frame nothing tells blotches from what the scene is uneven by. */
export function tellsBlotches({ apart }: Tally): boolean {
  return (lagsOf(apart, 0, STEPS)[0] as number) >= FEW
}

/** Undefined where grain is fine throughout, as far as the cells tell. */
export function blotchesOf(tally: Tally): Blotches | undefined {
  if (!tellsBlotches(tally)) return undefined
  const all = lagsOf(tally.apart, 0, STEPS)
  const best = fitted(all)
  if (best === undefined) return undefined
  const each = Array.from({ length: GROUPS }, (_, g) => fitted(lagsOf(tally.apart, 0, STEPS, g)) ?? best)
  const found = trace(best.v)
  const chance = CHANCE * jackknife((g) => trace((each[g] as Fitted).v))
  if (!(found > chance && found > WORTH * 3)) return undefined
  const { size } = best
  const v = possible(best.v, tally.pixels, size)
  const { lost, ...fine } = productsOf(tally, -1, 'in', coarseProducts(v, size, Math.sqrt(tally.pixels)))
  const levels = levelsOf(tally.apart)
  const off = (c: number) => {
    const own = jackknife((g) => (each[g] as Fitted).v[c] as number) / (2 * Math.max(v[c] as number, 1e-30))
    return Math.min(Math.hypot(own * Math.sqrt(levels.length), MODEL), 1)
  }
  return {
    size,
    sizeSpread: Math.hypot(
      jackknife((g) => (each[g] as Fitted).size),
      WIDER * size,
    ),
    spread: [off(0), off(1), off(2)],
    mix: mixOf(v),
    mixSpread: mixSpread(each, tally.pixels, size),
    parts: levels.map(([from, to]) => partOf(tally, from, to, size, lost)),
    fine,
  }
}

function trace(v: readonly number[]): number {
  return (v[0] as number) + (v[1] as number) + (v[2] as number)
}

/** Sums of some steps of level, of all groups but one. */
function lagsOf(sums: Apart, from: number, to: number, without = -1): Float64Array {
  const out = new Float64Array(PER_STEP)
  for (let g = 0; g < GROUPS; g++) {
    if (g === without) continue
    for (let s = from; s < to; s++) {
      const at = (g * STEPS + s) * PER_STEP
      for (let i = 0; i < PER_STEP; i++) out[i] = (out[i] as number) + (sums[at + i] as number)
    }
  }
  return out
}

const tables = Array.from({ length: SIZES }, (_, i) => {
  const size = LEAST * 2 ** (i / 16)
  return { size, g: correlations(size) }
})

interface Fitted {
  readonly size: number
  /** Of the six pairs. */
  readonly v: number[]
}

/** At the size that fits best, between those tried; undefined at either end of them: what is wider is no grain. */
function fitted(sums: Float64Array): Fitted | undefined {
  const miss = tables.map(({ g }) => coarseIn(sums, g).miss)
  const i = miss.indexOf(Math.min(...miss))
  if (i <= 0 || i >= SIZES - 1) return undefined
  const [a, b, c] = [miss[i - 1], miss[i], miss[i + 1]] as [number, number, number]
  const off = (a - c) / Math.max(2 * (a - 2 * b + c), 1e-300)
  const size = LEAST * 2 ** ((i + Math.min(Math.max(off, -0.5), 0.5)) / 16)
  return { size, v: coarseIn(sums, correlations(size)).v }
}

/** V of the six pairs, and the square miss of all. */
function coarseIn(sums: Float64Array, g: readonly number[]): { v: number[]; miss: number } {
  const n = APART.map((_, l) => sums[l * PARTS] as number)
  const all = n.reduce((s, x) => s + x, 0)
  const middle = n.reduce((s, x, l) => s + x * (g[l] as number), 0) / all
  const wide = n.reduce((s, x, l) => s + x * ((g[l] as number) - middle) ** 2, 0)
  let miss = 0
  const power = (c: number, l: number) => (sums[l * PARTS + 7 + c] as number) / Math.max(n[l] as number, 1)
  const v = PAIRS6.map(([a, b], p) => {
    const seen = n.map((x, l) =>
      x > 0 ? (sums[l * PARTS + 1 + p] as number) / x / Math.sqrt(power(a, l) * power(b, l)) : 0,
    )
    const mean = n.reduce((s, x, l) => s + x * (seen[l] as number), 0) / all
    const slope =
      n.reduce((s, x, l) => s + x * ((g[l] as number) - middle) * ((seen[l] as number) - mean), 0) / wide
    miss += n.reduce(
      (s, x, l) => s + x * ((seen[l] as number) - mean - slope * ((g[l] as number) - middle)) ** 2,
      0,
    )
    return -slope * Math.sqrt(power(a, 0) * power(b, 0))
  })
  return { v, miss: miss / all }
}

/** Of blotches' means over cells, as far apart as those of `cells.ts`. */
function correlations(size: number): number[] {
  return APART.map(([u, v]) => alongAxis(CELL * u, size) * alongAxis(CELL * v, size))
}

function alongAxis(distance: number, size: number): number {
  let sum = 0
  for (let i = 0; i < CELL; i++)
    for (let j = 0; j < CELL; j++) sum += blotchLag(distance + i - j, size) / CELL ** 2
  return sum
}

/** What covariances can be: no channel below nothing or above all that blocks show of it, no pair more alike than alike. */
function possible(v: readonly number[], pixels: number, size: number): number[] {
  const most = 0.95 / withoutMean(0, size, Math.sqrt(pixels))
  const own = [0, 1, 2].map((c) => Math.min(Math.max(v[c] as number, 0), most))
  return PAIRS6.map(([a, b], p) => {
    if (a === b) return own[a] as number
    const both = Math.sqrt((own[a] as number) * (own[b] as number))
    return Math.min(Math.max(v[p] as number, -both), both)
  })
}

function mixOf(v: readonly number[]): Three {
  return [3, 4, 5].map((p) => {
    const [a, b] = PAIRS6[p] as readonly [number, number]
    const most = Math.sqrt((v[a] as number) * (v[b] as number))
    return most > 0 ? Math.min(Math.max((v[p] as number) / most, -1), 1) : 0
  }) as unknown as Three
}

/** Places differ in all pairs alike, and a picture may have few of them: the three together. */
function mixSpread(each: readonly Fitted[], pixels: number, size: number): number {
  const own = [0, 1, 2].map((p) =>
    jackknife((g) => mixOf(possible((each[g] as Fitted).v, pixels, size))[p] as number),
  )
  return Math.hypot(Math.hypot(...own) / Math.sqrt(3), MODEL)
}

/** Steps of level put together, from and to, until each says enough. */
function levelsOf(sums: Apart): [number, number][] {
  const count = Array.from({ length: STEPS }, (_, s) => lagsOf(sums, s, s + 1)[0] as number)
  const all = count.reduce((a, b) => a + b, 0)
  const wanted = Math.max(OWN_LEVEL, all / MOST_LEVELS)
  const out: [number, number][] = []
  let [from, n] = [0, 0]
  count.forEach((x, s) => {
    n += x
    if (n < wanted) return
    out.push([from, s + 1])
    from = s + 1
    n = 0
  })
  const last = out.at(-1)
  if (last === undefined) return [[0, STEPS]]
  last[1] = STEPS
  return out
}

function partOf(
  tally: Tally,
  from: number,
  to: number,
  size: number,
  lost: readonly number[],
): Blotches['parts'][number] {
  const { pixels } = tally
  const v = possible(coarseIn(lagsOf(tally.apart, from, to), correlations(size)).v, pixels, size)
  // Blocks were made larger by what they lost with their means, as white noise does.
  const white = 1 - 1 / pixels
  const kept = withoutMean(0, size, Math.sqrt(pixels))
  const all = [0, 1, 2].map((c) => {
    const own = v[c] as number
    return own + (white - own * kept) / (1 - (lost[c] as number))
  })
  return {
    level: tally.meanLevel(from, to),
    share: [0, 1, 2].map((c) => (v[c] as number) / (all[c] as number)),
    whole: all,
  }
}
