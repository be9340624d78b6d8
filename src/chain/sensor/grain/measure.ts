/**
 * Grain meter: variance per channel and level with its spread, correlation between neighbours and between channels.
 *
 * Over time where two frames can be laid over each other (`overTime.ts`), else in single frames where they are flat (`oneFrame.ts`),
 * A codec that freezes noise makes the first too low: of a plate that stands still, frames far apart are
 * taken instead where they differ by more; where most of the picture is the same to the last code, single frames are believed.
 * What rounding to codes adds is taken off. Levels whose noise the ends of the code cut off are left out, and follow the line
 * σ² = a·L + b of the others (`line.ts`).
 *
 * Source: [foi2008], [emva1288]; more in the files of the parts.
 */
import { type FloatImage, median, pow, type Reading } from '../../../core/index.js'
import { STEPS } from './axis.js'
import { flatProducts } from './flatProducts.js'
import { type NoiseLine, noiseLine } from './line.js'
import { noiseInFrames, type OneFrame } from './oneFrame.js'
import { addPair, type Rounding } from './overTime.js'
import { GROUPS, jackknife, productsOf, Tally } from './tally.js'

/** Share of the blocks that are the same in both frames to the last code, from which on a codec held the noise still. */
const FROZEN = 0.5
/** Frames far apart differ by this much more than next ones where a codec freezes noise. */
const THAWED = 1.15
const TWICE = 2
const LEAST_BLOCKS = 40
const LEAST_PIXELS = 600
const MOST_LEVELS = 12
/** Steps that one level may span: an octave and a half. */
const WIDEST = 6
/** Of a level's σ², beyond what its pixels tell: level and noise within a step are not even. */
const MODEL = 0.014
/** The same of a lag. */
const LAG = 0.007
/** Mean square miss, in spreads, up to which the line is believed beyond the levels measured. */
const LAWFUL = 6
/** Of σ² that the line gives where nothing was measured, one standard deviation. */
const UNSEEN = 0.05

/** Two successive frames in linear light; `after` is absent for stills. */
export interface GrainSample {
  readonly frame: number
  readonly image: FloatImage
  readonly after: FloatImage | undefined
}

/** Correlation of noise with its neighbours and between channels. */
export interface NoiseCorrelation {
  /** Per channel: one and two pixels to the right, one and two below. */
  readonly lags: readonly (readonly [number, number, number, number])[]
  /** The same of RG, RB, GB. */
  readonly cross: readonly (readonly [number, number, number, number])[]
  /** At the pixel itself: RG, RB, GB. */
  readonly mix: readonly [number, number, number]
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
}

interface Rows {
  level: number
  variance: (number | undefined)[]
  spread: (number | undefined)[]
}

/**
 * @param clip linear value at which the plate's code ends
 * @param rounding what the plate's codes add to the variance by rounding
 */
export function measureGrain(
  samples: readonly GrainSample[],
  clip: number,
  rounding: Rounding = () => 0,
): Reading<GrainMeasure> {
  const images = samples.map((s) => s.image)
  const found = quieter(overTime(samples, clip, rounding), () => inFrames(images, clip, rounding))
  if ('cannotTell' in found) return found
  const { rows, tally, method, sure } = found
  const lines = [0, 1, 2].map((c) => lineOf(rows, c))
  if (sure) withEnds(rows, lines, clip)
  const levels = rows.map((r) => r.level)
  const filled = [0, 1, 2].map((c) => fill(rows, c, lines[c]))
  const { lost: _, ...products } = productsOf(tally)
  const first = (c: number) => hypot(LAG, lagSpread(tally, c))
  const variance = filled.map((f) => f.map((v) => v.variance))
  const spread = filled.map((f) => f.map((v) => v.spread))
  const value = {
    ...{ levels, lines, ...products },
    variance: variance as [number[], number[], number[]],
    spread: spread as [number[], number[], number[]],
    lagSpread: [first(0), first(1), first(2)] as const,
  }
  const relative = median((spread[1] as number[]).map((s, i) => s / ((variance[1] as number[])[i] as number)))
  return {
    value,
    evidence: {
      kind: 'measured',
      frames: samples.map((s) => s.frame),
      method: `${method}, at ${levels.length} levels`,
      spread: relative * median(variance[1] as number[]),
      confidence: Math.min(0.95, Math.max(0.2, 0.95 - 2 * relative)),
    },
  }
}

/** How one way of looking finds the noise, and where. */
interface Found {
  readonly rows: Rows[]
  readonly tally: Tally
  readonly method: string
  /** Whether no texture can have passed for noise. */
  readonly sure: boolean
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

/** Between frames: next ones, or frames far apart where a codec froze those. Nothing where they show no noise. */
function overTime(samples: readonly GrainSample[], clip: number, rounding: Rounding): Found | undefined {
  const { tally, how } = still(samples, clip, rounding)
  if (tally.blocks < LEAST_BLOCKS || tally.frozen > FROZEN * tally.blocks) return undefined
  const all = rowsOf(tally, clip, rounding)
  const rows = tally.doubt > 0 ? plausible(all) : all
  const method = `difference of ${how} frames in ${tally.blocks} blocks that hold still`
  return rows.length === 0 ? undefined : { rows, tally, method, sure: tally.doubt === 0 }
}

function inFrames(
  images: readonly FloatImage[],
  clip: number,
  rounding: Rounding,
): Found | { cannotTell: string } {
  const look = noiseInFrames(images, clip)
  const rows = plausible(rowsOfFrames(look, rounding))
  const all = `${look.blocks} unclipped blocks of ${look.size} px`
  if (rows.length === 0) {
    return {
      cannotTell: `no two frames show noise where they lie over each other, and of ${all} too few are flat at any level`,
    }
  }
  const method = `variance of ${look.flat.length} flat ones of ${all} in single frames`
  return { rows, tally: flatProducts(look, rounding), method, sure: false }
}

function lagSpread(tally: Tally, c: number): number {
  return jackknife((g) => {
    const own = productsOf(tally, g).lags[c] as [number, number, number, number]
    return (own[0] + own[2]) / 2
  })
}

function hypot(...parts: readonly number[]): number {
  return Math.sqrt(parts.reduce((sum, p) => sum + p * p, 0))
}

function still(samples: readonly GrainSample[], clip: number, rounding: Rounding) {
  const near = new Tally()
  for (const s of samples) if (s.after !== undefined) addPair(s.image, s.after, clip, rounding, near)
  const found = { tally: near, how: 'successive' }
  const far = new Tally()
  for (let i = 0; i + 1 < samples.length; i++)
    addPair((samples[i] as GrainSample).image, (samples[i + 1] as GrainSample).image, clip, rounding, far)
  if (far.blocks < near.blocks / 2) return found
  const [a, b] = [rowsOf(near, clip, rounding), rowsOf(far, clip, rounding)]
  const ratios = a.flatMap((row) => {
    const like = b.find((r) => Math.abs(r.level / row.level - 1) < 0.2)
    const [n, f] = [row.variance[1], like?.variance[1]]
    return n === undefined || f === undefined ? [] : [f / n]
  })
  return ratios.length > 0 && median(ratios) > THAWED ? { tally: far, how: 'far apart' } : found
}

/** Steps put together until each level has pixels enough. */
function rowsOf(tally: Tally, clip: number, rounding: Rounding): Rows[] {
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
    const less = rounding(c, own)
    const variance = Math.max(square / n - less, 0.02 * (square / n))
    const reach = 2.5 * Math.sqrt(variance)
    if (!(own > reach && own < clip - reach)) return undefined
    const off = jackknife((g) => {
      const [m, light, other] = sumOf(tally, c, from, to, g) as [number, number, number]
      return m === 0 ? square / n : (other / m) * ((own + 0.02) / (light / m + 0.02))
    })
    // The step's mean level is another one in each channel.
    const moved = ((whole[c] as number) * (level + 0.02)) / (own + 0.02)
    return {
      variance: variance * moved,
      spread: moved * hypot(off, MODEL * variance, 0.05 * less, doubt * variance),
    }
  })
  if (found.every((f) => f === undefined)) return undefined
  return { level, variance: found.map((f) => f?.variance), spread: found.map((f) => f?.spread) }
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

function rowsOfFrames({ levels }: OneFrame, rounding: Rounding): Rows[] {
  return levels.flatMap((l) => {
    const variance = l.variance.map((v, c) => v && Math.max(v - rounding(c, l.level), 0.02 * v))
    return variance.every((v) => v === undefined) ? [] : [{ level: l.level, variance, spread: [...l.spread] }]
  })
}

/**
 * Without the levels that have no flat place, whose texture passed for noise: σ / level^0.6 (about what a viewing curve makes of it)
 * is no more than twice that of the quietest level.
 */
function plausible(rows: readonly Rows[]): Rows[] {
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
      ? [{ level: r.level, variance: kept(r.variance), spread: kept(r.spread) }]
      : []
  })
}

/** Levels beyond those measured, where all channels obey the law: black, and the end of the code. */
function withEnds(rows: Rows[], lines: readonly (NoiseLine | undefined)[], clip: number): void {
  if (!lines.every((l) => l !== undefined && l.misfit < LAWFUL)) return
  const end = (level: number): Rows => ({ level, variance: [undefined, undefined, undefined], spread: [] })
  if ((rows[0] as Rows).level > 0) rows.unshift(end(0))
  if (Number.isFinite(clip) && (rows.at(-1) as Rows).level < clip) rows.push(end(clip))
}

function lineOf(rows: readonly Rows[], c: number): NoiseLine | undefined {
  const known = rows.filter((r) => r.variance[c] !== undefined)
  return noiseLine(
    known.map((r) => r.level),
    known.map((r) => r.variance[c] as number),
    known.map((r) => r.spread[c] as number),
  )
}

/** A channel's figures at every level: by its line, or as the nearest level has it, where it has none of its own. */
function fill(
  rows: readonly Rows[],
  c: number,
  line: NoiseLine | undefined,
): { variance: number; spread: number }[] {
  return rows.map((r) => {
    const [variance, spread] = [r.variance[c], r.spread[c]]
    if (variance !== undefined && spread !== undefined) return { variance, spread }
    const other = median(r.variance.filter((v) => v !== undefined))
    const guess = line === undefined ? other : line.slope * r.level + line.floor
    return { variance: guess, spread: (line === undefined ? 0.5 : UNSEEN) * guess }
  })
}
