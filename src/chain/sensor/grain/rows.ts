/** Noise by level: steps put together until each level says enough, held to what noise can be, and filled where it was not seen. */
import { median, pow } from '../../../core/index.js'
import { STEPS } from './axis.js'
import { lineAt, lineSpreadAt, type NoiseLine, noiseLine } from './line.js'
import type { OneFrame } from './oneFrame.js'
import type { Rounding } from './overTime.js'
import { GROUPS, jackknife } from './places.js'
import { productsOf, type Tally } from './tally.js'

const TWICE = 2
const LEAST_PIXELS = 600
const MOST_LEVELS = 12
/** Steps that one level may span: an octave and a half. */
const WIDEST = 6
/** Of a level's σ², beyond what its pixels tell: level and noise within a step are not even. */
const MODEL = 0.014
/** Of what rounding adds to it: that is reckoned, and stretched by chroma between its sites. As the round trip of 8-bit 4:2:0 has it. */
const ROUNDED = 0.25
/** Of σ²: places that differ by more have something in them that moved or flashed. */
const PLACES = 0.5
/** Mean square miss, in spreads, up to which the line is believed beyond the levels measured. */
const LAWFUL = 6
/** Of σ² that the line gives where nothing was measured, one standard deviation beside its own; less sure is not said. */
const UNSEEN = 0.05
const UNSURE = 0.3

export interface Rows {
  level: number
  variance: (number | undefined)[]
  spread: (number | undefined)[]
  /** What blocks less their means show, rounding included. */
  raw: (number | undefined)[]
}

export function hypot(...parts: readonly number[]): number {
  return Math.sqrt(parts.reduce((sum, p) => sum + p * p, 0))
}

/** Steps put together until each level has pixels enough. */
export function rowsOf(tally: Tally, clip: number, rounding: Rounding): Rows[] {
  const count = (s: number) => sumOf(tally, 1, s, s + 1)[0] as number
  const total = Array.from({ length: STEPS }, (_, s) => count(s)).reduce((a, b) => a + b, 0)
  const wanted = Math.max(LEAST_PIXELS, total / MOST_LEVELS)
  const whole = productsOf(tally).lost.map((l) => (1 - 1 / tally.pixels) / (1 - l))
  const rows: Rows[] = []
  for (let from = 0, to = 0, n = 0; to < STEPS; ) {
    n += count(to++)
    if (n < wanted && to - from < WIDEST && to < STEPS) continue
    if (n >= LEAST_PIXELS) {
      const row = rowOf(tally, from, to, clip, rounding, whole)
      if (row !== undefined) rows.push(row)
    }
    from = to
    n = 0
  }
  return rows
}

/** @param whole of each channel, by what its variance is larger than blocks less their means show */
function rowOf(
  tally: Tally,
  from: number,
  to: number,
  clip: number,
  rounding: Rounding,
  whole: readonly number[],
): Rows | undefined {
  const mean = (c: number) => {
    const [n, level] = sumOf(tally, c, from, to)
    return (level as number) / (n as number)
  }
  const level = mean(1)
  const doubt = tally.doubt / Math.max(tally.blocks, 1)
  const found = [0, 1, 2].map((c) => {
    const [n, sum, square] = sumOf(tally, c, from, to) as [number, number, number]
    if (n < LEAST_PIXELS / 2) return undefined
    const own = sum / n
    const less = rounding.variance(c, own)
    const variance = Math.max(square / n - less, 0.02 * (square / n))
    const reach = 2.5 * Math.sqrt(variance)
    if (!(own > reach && own < clip - reach)) return undefined
    const off = jackknife((g) => {
      const [m, light, other] = sumOf(tally, c, from, to, g) as [number, number, number]
      return m === 0 ? square / n : (other / m) * ((own + 0.02) / (light / m + 0.02))
    })
    if (doubt === 0 && off > PLACES * variance) return undefined
    // The step's mean level is another one in each channel.
    const moved = ((whole[c] as number) * (level + 0.02)) / (own + 0.02)
    return {
      raw: (square / n) * (moved / (whole[c] as number)),
      variance: variance * moved,
      spread: moved * hypot(off, MODEL * variance, ROUNDED * less, doubt * variance),
    }
  })
  if (found.every((f) => f === undefined)) return undefined
  return {
    level,
    variance: found.map((f) => f?.variance),
    spread: found.map((f) => f?.spread),
    raw: found.map((f) => f?.raw),
  }
}

function sumOf({ levels }: Tally, c: number, from: number, to: number, without = -1): number[] {
  const out = [0, 0, 0]
  for (let g = 0; g < GROUPS; g++) {
    if (g === without) continue
    for (let s = from; s < to; s++) {
      for (let i = 0; i < 3; i++)
        out[i] = (out[i] as number) + (levels[3 * ((g * 3 + c) * STEPS + s) + i] as number)
    }
  }
  return out
}

export function rowsOfFrames({ levels }: OneFrame, rounding: Rounding): Rows[] {
  return levels.flatMap((l) => {
    const variance = l.variance.map((v, c) => v && Math.max(v - rounding.variance(c, l.level), 0.02 * v))
    return variance.every((v) => v === undefined)
      ? []
      : [{ level: l.level, variance, spread: [...l.spread], raw: [...l.variance] }]
  })
}

/**
 * Without the levels that have no flat place, whose texture passed for noise: σ / level^0.6 (about what a viewing curve makes of it)
 * is no more than twice that of the quietest level.
 */
export function plausible(rows: readonly Rows[]): Rows[] {
  const relative = (r: Rows, c: number) =>
    Math.sqrt(r.variance[c] as number) / pow(Math.max(r.level, 1e-3), 0.6)
  const least = [0, 1, 2].map((c) =>
    rows.reduce(
      (m, r) => (r.variance[c] === undefined ? m : Math.min(m, relative(r, c))),
      Number.POSITIVE_INFINITY,
    ),
  )
  return rows.flatMap((r) => {
    const sound = (c: number) => r.variance[c] !== undefined && relative(r, c) <= TWICE * (least[c] as number)
    const kept = (of: readonly (number | undefined)[]) => of.map((v, c) => (sound(c) ? v : undefined))
    return [0, 1, 2].some(sound)
      ? [{ level: r.level, variance: kept(r.variance), spread: kept(r.spread), raw: kept(r.raw) }]
      : []
  })
}

/** Levels beyond those measured, where all channels obey the law: black, and the end of the code. */
export function withEnds(rows: Rows[], lines: readonly (NoiseLine | undefined)[], clip: number): void {
  const far = (level: number) =>
    lines.every(
      (l) => l !== undefined && l.misfit < LAWFUL && lineSpreadAt(l, level) < UNSURE * lineAt(l, level),
    )
  const end = (level: number): Rows => ({
    ...{ level, variance: [undefined, undefined, undefined] },
    ...{ spread: [], raw: [undefined, undefined, undefined] },
  })
  if ((rows[0] as Rows).level > 0 && far(0)) rows.unshift(end(0))
  if (Number.isFinite(clip) && (rows.at(-1) as Rows).level < clip && far(clip)) rows.push(end(clip))
}

export function lineOf(rows: readonly Rows[], c: number): NoiseLine | undefined {
  const known = rows.filter((r) => r.variance[c] !== undefined)
  return noiseLine(
    known.map((r) => r.level),
    known.map((r) => r.variance[c] as number),
    known.map((r) => r.spread[c] as number),
  )
}

/** A channel's figures at every level: by its line, or as the nearest level has it, where it has none of its own. */
export function fill(
  rows: readonly Rows[],
  c: number,
  line: NoiseLine | undefined,
): { variance: number; spread: number }[] {
  return rows.map((r) => {
    const [variance, spread] = [r.variance[c], r.spread[c]]
    if (variance !== undefined && spread !== undefined) return { variance, spread }
    const other = median(r.variance.filter((v) => v !== undefined))
    if (line === undefined) return { variance: other, spread: 0.5 * other }
    const guess = lineAt(line, r.level)
    return { variance: guess, spread: hypot(UNSEEN * guess, lineSpreadAt(line, r.level)) }
  })
}
