/**
 * How far a camera's sharpening makes edges swing beyond their sides, from the straight edges of its pictures.
 *
 *   log L(A, ρ) = −Σ edges  w · n/2 · ln(R(A, ρ) / c² + n·ε²)       greatest → A, ρ      w = c² / (1 + (u / 0.05)²)
 *
 *   R  what is left over of an edge under that amount and radius, its softness its own (`edge.ts`)      n  bins of its profile
 *   c  height of its step, in codes, up to ½     u  how uneven the light is along it and beside it, as a share of the step
 *   ε² = 0.002² + 0.002 u², below which nothing is better
 *
 * Each edge has an unknown noise of its own (what stands beside it in the scene), so that those that stand free tell most; strong and even
 * ones stand freest. They are chosen by slope, straightness and evenness, never by their swing. The width is that of the sharper edges: of the four tenths
 * about the second fifth, by c². What is told is the swing of an edge of that width: of A, ρ and width alone many make the same of it.
 *
 *   spread² = (1.2 · jackknife over sixteen parts of the frame)² + (0.06 overshoot)² + 0.004²      choices, which the round trips hold to
 *
 * Source: the likelihood with unknown variance, common practice; edge spread by [iso12233].
 */
import { type Evidence, type Reading, spreadOf, type Told } from '../../../core/index.js'
import {
  edgesApart,
  type Here,
  profileAt,
  type ScatteredProfile,
  type Window,
} from '../../../kernels/index.js'
import { leftOut, lowestNear, partOf, type Voter } from '../votes.js'
import { ACROSS, ALONG, AMOUNTS, type Curve, type SharpEdge, sharpEdge } from './edge.js'
import { overshootOf, type Sharpening, swingOf, WIDTH } from './model.js'
import { RADII } from './spread.js'

export interface LumaSample {
  readonly frame: number
  /** Luma in code values, 0 to 1. */
  readonly luma: Window
  /** Where edges are looked for; undefined: everywhere. */
  readonly here?: Here
}

/** Edges that are looked at in all. */
const MOST_EDGES = 400
/** px between two of them, so that they are not the same. */
const APART = 6
const FILLED = 0.45
/** Codes. */
const LEAST_STEP = 0.1
const STRONG = 0.5
/** px from the edge: its core ends, and its swings do. */
const CORE = 2
const BESIDE = 3.5
/** Of the step: what is less even tells less. */
const EVEN = 0.05
/** Of its variance, what the mean along the edge leaves. */
const UNEVEN_SHARE = 0.002
/** What comes so near to the ends of the codes may be cut off there. */
const ENDS = [0.004, 0.98] as const
const LEAST_EDGES = 40
const LEAST_OFF = 0.002
const SHARPER = [0.2, 0.6] as const
/** Parts of one scene are alike in more than chance. */
const LEFT_OUT = 1.2
const MODEL = 0.06
const LEAST = 0.004
/** Of the overshoot's own spread: more says nothing. */
const WIDEST = 0.02
const WIDEST_SHARE = 0.35
/** Of what an edge of another width swings more or less. */
const UNSURE = 0.5

export interface SharpeningMeasure extends Sharpening {
  readonly amount: number
  /** By how much the overshoot of a single part of the frame differs: an in-camera filter does more to some edges than to others. */
  readonly ofPart: number
}

/** @param curve between the luma's codes and light @param most edges that are looked at */
export function measureSharpening(
  samples: readonly LumaSample[],
  curve: Curve,
  most = MOST_EDGES,
): Reading<SharpeningMeasure> {
  const each = Math.ceil(most / Math.max(samples.length, 1))
  const edges = samples.flatMap((s, i) => edgesOf(s, curve, i, each))
  if (edges.length < LEAST_EDGES)
    return { cannotTell: `only ${edges.length} straight edges stand free enough to show whether they swing` }
  const table = sumOf(edges)
  const found = swinging(edges, table)
  const open = leftOut(edges, table, sumOf, (rest, own) => swinging(rest, own).overshoot)
  const spread = Math.hypot(LEFT_OUT * open.spread, MODEL * found.overshoot, LEAST)
  if (spread > WIDEST + WIDEST_SHARE * Math.abs(found.overshoot)) {
    const [low, high] = [-2, 2].map((k) => Math.round(100 * Math.max(found.overshoot + k * spread, 0)))
    return { cannotTell: `its edges may swing by ${low} to ${high} % of their step` }
  }
  if (found.amount > LARGEST)
    return { cannotTell: 'its edges swing farther than any sharpening that is told' }
  return {
    value: { ...found, ofPart: open.ofPart },
    evidence: {
      kind: 'measured',
      frames: samples.map((s) => s.frame),
      method: `${edges.length} straight edges, each as a soft edge that was sharpened`,
      spread,
      confidence: 0.7,
    },
  }
}

/**
 * How far an edge of another width swings by the same amount and radius: less the softer it is, so that two files are compared on one.
 * Its spread grows as the swing does, and by half of what the two part by: one pair is taken of the many that make the same swing.
 */
export function overshootAt(found: Told<SharpeningMeasure>, other: number): Told<number> {
  const { amount, radius, width, overshoot } = found.value
  const value = swingOf(amount, radius, other)
  const grows = overshootOf(1, radius, other) / overshootOf(1, radius, width)
  const spread = Math.hypot(grows * spreadOf(found), UNSURE * (value - overshoot))
  return { value, evidence: { ...found.evidence, spread } as Evidence }
}

const LARGEST = AMOUNTS.at(-2) as number

interface Seen extends SharpEdge, Voter {
  /** Of its step. */
  readonly uneven: number
}

function edgesOf({ luma, here }: LumaSample, curve: Curve, picture: number, most: number): Seen[] {
  const border = Math.ceil(Math.hypot(ACROSS, ALONG)) + 2
  const out: Seen[] = []
  for (const place of edgesApart(luma, border, 8 * most, APART, here)) {
    if (out.length >= most) break
    const profile = profileAt(luma, place, ACROSS, ALONG, FILLED)
    if (profile === undefined || profile.value.some((v) => v < ENDS[0] || v > ENDS[1])) continue
    const edge = sharpEdge(profile, curve)
    if (edge === undefined || edge.step < LEAST_STEP) continue
    const part = partOf(place.x, place.y, luma.width, luma.height, picture)
    out.push({ ...edge, part, uneven: uneven(profile) / edge.step })
  }
  return out
}

/** How much the light beside an edge differs, along it and away from it: as a standard deviation, codes. */
function uneven({ s, scatter, value }: ScatteredProfile): number {
  const meanSquare = (of: Float64Array, from = 0) => of.reduce((a, v) => a + (v - from) ** 2, 0) / of.length
  const along = meanSquare(scatter.filter((_, i) => Math.abs(s[i]!) > CORE))
  const away = [-1, 1].map((side) => {
    const own = value.filter((_, i) => side * s[i]! > BESIDE)
    return meanSquare(own, own.reduce((a, v) => a + v, 0) / own.length)
  })
  return Math.sqrt(along + away[0]! + away[1]!)
}

function weightOf({ step, uneven }: Seen): number {
  return Math.min(step, STRONG) ** 2 / (1 + (uneven / EVEN) ** 2)
}

/** −log L at every amount and radius. */
function sumOf(edges: readonly Seen[]): Float64Array {
  const sum = new Float64Array(AMOUNTS.length * RADII.length)
  for (const e of edges) {
    const [weight, least] = [
      (weightOf(e) * e.bins) / 2,
      e.bins * (LEAST_OFF ** 2 + UNEVEN_SHARE * e.uneven ** 2),
    ]
    for (let i = 0; i < sum.length; i++)
      sum[i] = sum[i]! + weight * Math.log(e.left[i]! / e.step ** 2 + least)
  }
  return sum
}

function swinging(edges: readonly Seen[], table: Float64Array): Omit<SharpeningMeasure, 'ofPart'> {
  const { amount, radius, slot } = lowest(table)
  const width = WIDTH * sharper(edges, slot)
  return { overshoot: swingOf(amount, radius, width), width, radius, amount }
}

/** Mean σ of the sharper edges, by weight. */
function sharper(edges: readonly Seen[], slot: number): number {
  const all = edges.map((e) => [e.sigma[slot]!, weightOf(e)] as const).sort((a, b) => a[0] - b[0])
  const whole = all.reduce((s, [, w]) => s + w, 0)
  let [before, sum, weight] = [0, 0, 0]
  for (const [sigma, w] of all) {
    const inside = Math.min(before + w, SHARPER[1] * whole) - Math.max(before, SHARPER[0] * whole)
    if (inside > 0) [sum, weight] = [sum + inside * sigma, weight + inside]
    before += w
  }
  return sum / weight
}

const LOGS = RADII.map(Math.log)

interface Lowest {
  readonly amount: number
  readonly radius: number
  readonly slot: number
}

/** Where the radius lies between two that were tried, its amount does too: the two go together. */
function lowest(table: Float64Array): Lowest {
  const n = AMOUNTS.length
  const rows = RADII.map((_, k) => {
    const own = table.subarray(k * n, (k + 1) * n)
    const j = own.indexOf(Math.min(...own))
    return { j, least: own[j]!, amount: lowestNear(AMOUNTS, j, (i) => own[i]!) }
  })
  const k = rows.reduce((best, row, i) => (row.least < rows[best]!.least ? i : best), 0)
  const log = lowestNear(LOGS, k, (i) => rows[i]!.least)
  const beside = rows[k + Math.sign(log - LOGS[k]!)]
  const share = beside === undefined ? 0 : (log - LOGS[k]!) / (LOGS[rows.indexOf(beside)]! - LOGS[k]! || 1)
  const { j, amount } = rows[k]!
  return {
    amount: beside === undefined ? amount : amount + share * (beside.amount - amount),
    radius: Math.exp(log),
    slot: k * n + j,
  }
}
