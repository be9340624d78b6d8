/**
 * By how much a camera's chroma is softer than its luma, on edges where both step: the blur through which luma looks like chroma.
 *
 *   C(s) = a + b·(G_σ∗Y)(s − δ)      least squares in a, b, δ for each σ        −log L(σ) = Σ edges w · n/2 · ln(R(σ) / c² + n·ε²), least
 *
 *   C, Y  chroma and luma across an edge, in codes, what sharpened the luma taken off      R  what is left over      n  bins
 *   c  step of the chroma       w = 1 / (1 + (u / 0.1)²), u unevenness along the edge of the chroma, as a share of c       ε  0.01
 *
 * A straight edge blurred by a round Gaussian is its profile blurred by the same along its normal. Halved samples of the file are part of it.
 *
 *   spread² = (1.2 · jackknife)² + (0.04 σ)² + 0.06²      choices, which the round trips hold to
 *
 * Source: least squares; edge profiles by [iso12233].
 */
import type { Reading } from '../../../core/index.js'
import {
  edgesApart,
  type Here,
  profileAt,
  type ScatteredProfile,
  type Window,
} from '../../../kernels/index.js'
import { leftOut, lowestNear, partOf, type Voter } from '../votes.js'

export interface ChromaSample {
  readonly frame: number
  /** In codes. */
  readonly luma: Window
  readonly cb: Window
  readonly cr: Window
  /** Where edges are looked for; undefined: everywhere. */
  readonly here?: Here
}

/** What was done to the luma: amount and radius of an unsharp mask. */
export interface Sharpened {
  readonly amount: number
  readonly radius: number
}

const SIGMAS = [0, 0.3, 0.5, 0.7, 0.9, 1.1, 1.35, 1.65, 2, 2.4, 2.9, 3.5, 4.2]
const SHIFTS = [-0.3, 0, 0.3]
const ACROSS = 9
/** What is compared, px from the edge: beyond, the blur sees the profile's ends. */
const INNER = 5
const ALONG = 5
const FILLED = 0.45
const MOST_EDGES = 240
const APART = 6
/** Codes. */
const LEAST_STEP = 0.025
const LEAST_LUMA = 0.06
const LEAST_EDGES = 20
const EVEN = 0.1
const LEAST_OFF = 0.01
const LEFT_OUT = 1.2
const MODEL = 0.04
const LEAST = 0.06
const WIDEST = 0.3
const WIDEST_SHARE = 0.2
const STEPS = 12

interface Edge extends Voter {
  readonly weight: number
  readonly bins: number
  /** R / c² of each σ. */
  readonly left: Float64Array
}

export interface SoftChroma {
  /** σ, px of the files' full samples */
  readonly blur: number
  /** By how much a single part of the frame differs, px: a codec softens where there is little to see. */
  readonly ofPart: number
}

/** @param most edges that are looked at */
export function measureSoftChroma(
  samples: readonly ChromaSample[],
  sharp: Sharpened | undefined,
  most = MOST_EDGES,
): Reading<SoftChroma> {
  const each = Math.ceil(most / Math.max(samples.length, 1))
  const edges = samples.flatMap((s, i) => edgesOf(s, sharp, i, each))
  if (edges.length < LEAST_EDGES)
    return { cannotTell: `only ${edges.length} edges step in luma and in colour alike` }
  const table = costOf(edges)
  const blur = lowest(table)
  const open = leftOut(edges, table, costOf, (_, own) => lowest(own))
  const spread = Math.hypot(LEFT_OUT * open.spread, MODEL * blur, LEAST)
  if (blur > SIGMAS.at(-2)!) return { cannotTell: 'its colour edges are softer than its luma tells' }
  if (spread > WIDEST + WIDEST_SHARE * blur) {
    const [low, high] = [-2, 2].map((k) => Math.max(blur + k * spread, 0).toFixed(1))
    return { cannotTell: `its chroma may be softer by ${low} to ${high} px` }
  }
  return {
    value: { blur, ofPart: open.ofPart },
    evidence: {
      kind: 'measured',
      frames: samples.map((s) => s.frame),
      method: `chroma against blurred luma on ${edges.length} edges that step in both`,
      spread,
      confidence: 0.7,
    },
  }
}

function edgesOf(
  { luma, cb, cr, here }: ChromaSample,
  sharp: Sharpened | undefined,
  picture: number,
  most: number,
) {
  const border = Math.ceil(Math.hypot(ACROSS, ALONG)) + 2
  const out: Edge[] = []
  for (const place of edgesApart(luma, border, 8 * most, APART, here)) {
    if (out.length >= most) break
    const of = (plane: Window) => profileAt(plane, place, ACROSS, ALONG, FILLED)
    const [y, ...both] = [of(luma), of(cb), of(cr)]
    const steps = both.map((c) => (c === undefined ? 0 : stepOf(c)))
    const c = Math.abs(steps[0]!) > Math.abs(steps[1]!) ? 0 : 1
    const [chroma, step] = [both[c], steps[c]!]
    if (y === undefined || chroma === undefined) continue
    if (Math.abs(step) < LEAST_STEP || stepOf(y) < LEAST_LUMA) continue
    const uneven = rms(chroma.scatter) / Math.abs(step)
    out.push({
      ...{ part: partOf(place.x, place.y, luma.width, luma.height, picture) },
      weight: 1 / (1 + (uneven / EVEN) ** 2),
      ...leftOf(y, chroma, step, sharp),
    })
  }
  return out
}

function stepOf({ value }: ScatteredProfile): number {
  const side = Math.floor(value.length / 4)
  const mean = (v: Float64Array) => v.reduce((a, b) => a + b, 0) / v.length
  return mean(value.subarray(value.length - side)) - mean(value.subarray(0, side))
}

function rms(v: Float64Array): number {
  return Math.sqrt(v.reduce((a, b) => a + b * b, 0) / v.length)
}

function leftOf(
  luma: ScatteredProfile,
  { value }: ScatteredProfile,
  step: number,
  sharp: Sharpened | undefined,
) {
  const { s } = luma
  const y = sharp === undefined ? luma.value : unsharpened(luma, sharp)
  const inner = [...s.keys()].filter((i) => Math.abs(s[i]!) <= INNER)
  const c = Float64Array.from(inner, (i) => value[i]!)
  const left = Float64Array.from(SIGMAS, (sigma) => {
    const all = SHIFTS.map((shift) => {
      const soft = smoothed(s, y, Math.hypot(sigma, NARROW), shift)
      return residual(
        c,
        Float64Array.from(inner, (i) => soft[i]!),
      )
    })
    return Math.min(...all) / step ** 2
  })
  return { bins: inner.length, left }
}

/** A blur so narrow does nothing to bins half a pixel apart but go between them where the profile is shifted. */
const NARROW = 0.22

/** The profile through a Gaussian, of the bins that there are. */
function smoothed(s: Float64Array, v: Float64Array, sigma: number, shift: number): Float64Array {
  const k = -1 / (2 * sigma * sigma)
  return s.map((at) => {
    let [sum, weight] = [0, 0]
    for (let j = 0; j < s.length; j++) {
      const d = at - shift - s[j]!
      const w = Math.exp(k * d * d)
      sum += w * v[j]!
      weight += w
    }
    return weight > 0 ? sum / weight : 0
  })
}

/** As `sharpening/apply.ts` does it to pictures. */
function unsharpened({ s, value }: ScatteredProfile, { amount, radius }: Sharpened): Float64Array {
  let y = value
  for (let i = 0; i < STEPS; i++) {
    const soft = smoothed(s, y, radius, 0)
    y = value.map((v, j) => (v + amount * soft[j]!) / (1 + amount))
  }
  return y
}

/** Sum of squares of c without a constant and a share of y. */
function residual(c: Float64Array, y: Float64Array): number {
  const n = c.length
  let [c1, y1] = [0, 0]
  for (let i = 0; i < n; i++) [c1, y1] = [c1 + c[i]!, y1 + y[i]!]
  let [cc, cy, yy] = [0, 0, 0]
  for (let i = 0; i < n; i++) {
    const [a, b] = [c[i]! - c1 / n, y[i]! - y1 / n]
    cc += a * a
    cy += a * b
    yy += b * b
  }
  return Math.max(cc - (cy * cy) / yy, 0)
}

function costOf(edges: readonly Edge[]): Float64Array {
  const sum = new Float64Array(SIGMAS.length)
  for (const { weight, bins, left } of edges)
    for (let i = 0; i < sum.length; i++)
      sum[i] = sum[i]! + ((weight * bins) / 2) * Math.log(left[i]! + bins * LEAST_OFF ** 2)
  return sum
}

function lowest(table: Float64Array): number {
  let best = 0
  for (let i = 1; i < table.length; i++) if (table[i]! < table[best]!) best = i
  return lowestNear(SIGMAS, best, (i) => table[i]!)
}
