/**
 * Distortion from curves of which most are pictures of straight lines.
 *
 *   e = P·n·u(k)          u  where a curve's points lie without distortion      n  across the curve's chord
 *                         P  takes out the best straight line: what is left is bent
 *   k_l = k − Jᵀe/JᵀJ     each curve's own answer      σ_l  its spread: its own roughness, and a bend of BENT px that real edges have
 *   L(k) = Σ ln(1 + ε·N(k_l; k, σ_l) / (1 − ε)·C(k_l))      ε  share of straight ones      C  a Cauchy about 0: bent by CURVED px
 *
 * The best k is where L is highest; then by steps of weighted least squares, each curve weighted by how likely it is a straight line
 * and how sure. Spread: from how much the curves differ, each against what it would be without it (sandwich with leverage), those at
 * one place of several frames counted as one; k2 only where it is six spreads from 0.
 *
 * Source: [devernay2001] (lines that have to be straight), [huber2009] (weights), [mackinnon1985] (leverage); the mixture a choice.
 */
import { exp, ln } from '../../../../core/index.js'
import { brownUndistort } from '../brown.js'
import { lessPowers } from './curves.js'

/** Points about the lens's axis, in half the short side. */
export interface Line {
  readonly points: readonly (readonly [number, number])[]
  /** Alike for pictures of one line on several frames. */
  readonly cluster: number
}

export interface Plumb {
  readonly k1: number
  readonly k2: number
  readonly spread: { readonly k1: number; readonly k2: number }
  /** By line: how likely it is the picture of a straight one. */
  readonly straight: readonly number[]
  /** By how much the best k1 is likelier than that the curves say nothing together, natural logarithm. */
  readonly gain: number
}

/** px of bend that edges of straight things have, here in half the short side of a frame of `unit` px. */
const BENT = 0.04
/** Places of one edge are not independent: so many count as one. */
const ALIKE = 6
const SHARE = 0.5
/**
 * How much of the variance that the curves' own roughness tells is added to what they differ by: of a few curves the latter alone is
 * too sure too often. Set by the round trips.
 */
const OWN = 0.06
/** Distortions of lenses are of this size. */
const SMALL = 0.1
/** px that a curve which is no straight line is usually bent. */
const CURVED = 2
const FURTHEST = 0.4
const STEPS = 12

interface Answer {
  /** JᵀJ and Jᵀe over k1 and k2, per point. */
  readonly jj: readonly [number, number, number]
  readonly je: readonly [number, number]
  /** Variance of e, and what a curved thing's e is like. */
  readonly variance: number
  readonly curved: number
}

/** @param unit half the short side, px */
export function plumb(lines: readonly Line[], unit: number): Plumb | undefined {
  const start = bestStart(lines, unit)
  if (start === undefined) return undefined
  let k: readonly [number, number] = [start.k1, 0]
  let one = settle(lines, unit, k, false)
  if (one === undefined) return undefined
  k = one.k
  const two = settle(lines, unit, k, true)
  // The second term stays where it is six spreads from 0 and well known.
  if (two !== undefined && Math.abs(two.k[1]) > 6 * two.sd[1]) one = two
  return {
    k1: one.k[0],
    k2: one.k[1],
    spread: { k1: one.sd[0], k2: one.sd[1] },
    straight: one.weights,
    gain: start.gain,
  }
}

function answerOf({ points }: Line, unit: number, [k1, k2]: readonly [number, number]): Answer | undefined {
  const [a, b] = [points[0], points.at(-1)] as [Line['points'][number], Line['points'][number]]
  const chord = Math.sqrt((b[0] - a[0]) ** 2 + (b[1] - a[1]) ** 2)
  const [tx, ty] = [(b[0] - a[0]) / chord, (b[1] - a[1]) / chord]
  const [along, off, by1, by2]: number[][] = [[], [], [], []]
  for (const [x, y] of points) {
    const u = straightened(x, y, k1, k2)
    if (u === undefined) return undefined
    const [ux, uy] = u
    const r2 = ux * ux + uy * uy
    const across = uy * tx - ux * ty
    // u·(1 + k1·r² + k2·r⁴) stays where it is: u shrinks by what the factor grows. Along the radius the factor itself grows.
    const factor = 1 + k1 * r2 + k2 * r2 * r2
    const slope = factor + r2 * (2 * k1 + 4 * k2 * r2)
    ;(along as number[]).push(ux * tx + uy * ty)
    ;(off as number[]).push(across)
    ;(by1 as number[]).push((-across * r2) / slope)
    ;(by2 as number[]).push((-across * r2 * r2) / slope)
  }
  const n = points.length
  const t = along as number[]
  const [e, j1, j2] = [off, by1, by2].map((v) => lessPowers(v as number[], t, 1)) as [
    number[],
    number[],
    number[],
  ]
  const rough = lessPowers(off as number[], t, 2)
  const mean = (p: readonly number[], q: readonly number[]) =>
    p.reduce((s, v, i) => s + v * (q[i] as number), 0) / n
  const variance = (ALIKE / n) * mean(rough, rough) + (BENT / unit) ** 2
  return {
    jj: [mean(j1, j1), mean(j1, j2), mean(j2, j2)],
    je: [mean(j1, e), mean(j2, e)],
    variance,
    curved: CURVED / unit,
  }
}

function straightened(x: number, y: number, k1: number, k2: number): readonly [number, number] | undefined {
  try {
    return brownUndistort([k1, k2, 0, 0, 0], x, y)
  } catch {
    return undefined
  }
}

/** Of a curve at k: its own k1, how sure, and how likely it is a straight one there. */
function judged(a: Answer, k1: number): { own: number; sd: number; straight: number } {
  // e falls as k rises to the true one: own = k − Jᵀe / JᵀJ.
  const own = k1 - a.je[0] / Math.max(a.jj[0], 1e-12)
  const sd = Math.sqrt(a.variance / Math.max(a.jj[0], 1e-12))
  const ratio = straightRatio(own, sd, k1, a)
  return { own, sd, straight: ratio / (1 + ratio) }
}

function bestStart(lines: readonly Line[], unit: number): { k1: number; gain: number } | undefined {
  let best: { k1: number; gain: number } | undefined
  const coarse = 0.02
  for (let i = -FURTHEST / coarse; i <= FURTHEST / coarse; i++) {
    const from = coarse * i
    const answers = lines.map((l) => answerOf(l, unit, [from, 0]))
    for (let j = -5; j < 5; j++) {
      const k1 = from + (j * coarse) / 10
      const gain = answers.reduce((sum, a) => {
        if (a === undefined) return sum
        const { own, sd } = judged(a, from)
        return sum + ln(1 + straightRatio(own, sd, k1, a))
      }, 0)
      if (best === undefined || gain > best.gain) best = { k1, gain }
    }
  }
  return best
}

/** How much likelier the answer is of a straight line than of anything. */
function straightRatio(own: number, sd: number, k1: number, { jj, curved }: Answer): number {
  const z = (own - k1) / sd
  const near = z * z > 60 ? 0 : (SHARE * exp((-z * z) / 2)) / (sd * Math.sqrt(2 * Math.PI))
  const wide = Math.sqrt(SMALL * SMALL + (curved * curved) / Math.max(jj[0], 1e-12))
  const any = (1 - SHARE) / (Math.PI * wide * (1 + (own / wide) ** 2))
  return near / any
}

interface Settled {
  readonly k: readonly [number, number]
  readonly sd: readonly [number, number]
  readonly weights: readonly number[]
}

function settle(
  lines: readonly Line[],
  unit: number,
  from: readonly [number, number],
  both: boolean,
): Settled | undefined {
  let k = from
  for (let step = 0; step < STEPS; step++) {
    const answers = lines.map((l) => answerOf(l, unit, k))
    const weights = answers.map((a) => (a === undefined ? 0 : judged(a, k[0]).straight))
    let [m11, m12, m22, v1, v2] = [0, 0, 0, 0, 0]
    const scores = new Map<number, [score1: number, score2: number, information: number]>()
    answers.forEach((a, i) => {
      if (a === undefined) return
      const w = (weights[i] as number) / a.variance
      m11 += w * a.jj[0]
      m12 += w * a.jj[1]
      m22 += w * a.jj[2]
      v1 += w * a.je[0]
      v2 += w * a.je[1]
      const { cluster } = lines[i] as Line
      const s = scores.get(cluster) ?? [0, 0, 0]
      scores.set(cluster, [s[0] + w * a.je[0], s[1] + w * a.je[1], s[2] + w * a.jj[0]])
    })
    if (!(m11 > 0)) return undefined
    const area = m11 * m22 - m12 * m12
    const inverse = both ? [m22 / area, -m12 / area, m11 / area] : [1 / m11, 0, 0]
    const [i11, i12, i22] = inverse as [number, number, number]
    const change = [-(i11 * v1 + i12 * v2), both ? -(i12 * v1 + i22 * v2) : 0] as const
    k = [k[0] + change[0], k[1] + change[1]]
    // Where it runs away from where the curves agree, they do not.
    if (Math.abs(k[0] - from[0]) > FURTHEST / 4) return undefined
    if (Math.abs(change[0]) + Math.abs(change[1]) > 1e-7 && step < STEPS - 1) continue
    let [s11, s12, s22] = [0, 0, 0]
    for (const [p, q, information] of scores.values()) {
      // What pulls the answer to itself misses it by less: as far as it would without it.
      const lever = 1 / Math.max(1 - information / m11, 0.1) ** 2
      s11 += lever * p * p
      s12 += lever * p * q
      s22 += lever * q * q
    }
    // Few curves fit themselves too well.
    const held = weights.reduce((a, b) => a + b, 0)
    const more = held / Math.max(held - (both ? 2 : 1) - 1, 1)
    const sd1 = Math.sqrt(more * (i11 * i11 * s11 + 2 * i11 * i12 * s12 + i12 * i12 * s22) + OWN * i11)
    const sd2 = both ? Math.sqrt(more * (i12 * i12 * s11 + 2 * i12 * i22 * s12 + i22 * i22 * s22)) : 0
    return { k, sd: [sd1, sd2], weights }
  }
  return undefined
}
