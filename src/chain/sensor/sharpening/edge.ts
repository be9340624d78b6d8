/**
 * One edge of a picture as every amount and radius of sharpening would have made it.
 *
 *   v(s) = a + b s + c·[(1 + A)·E(s) − A·(G_ρ∗E)(s)]       luma across it, in codes
 *
 *   s  distance from the edge, px      A, ρ  amount and radius of `model.ts`      E  the edge before (`spread.ts`)
 *
 * For each A and ρ what is left over after the best a, b, c, E and place of the edge: that is all that the meter needs of an edge. b, the
 * light's own fall beside it, is the scene's: things end, and farther from an edge the light goes back to the mean. Source: [iso12233] for the edge spread; least squares.
 */
import type { Profile } from '../../../kernels/index.js'
import { FAR, FINE, RADII, type Spread, spreadsOf } from './spread.js'

/** px to either side of the edge, and half its length that is averaged. */
export const ACROSS = 7
export const ALONG = 5
export const AMOUNTS: readonly number[] = [
  -0.6, -0.4, -0.2, 0, 0.2, 0.4, 0.6, 0.9, 1.2, 1.6, 2, 2.5, 3, 3.7, 4.5, 5.5,
]
/** px between places of the edge that are tried. */
const SHIFT = 0.15
const SLOTS = AMOUNTS.length * RADII.length

export interface SharpEdge {
  /** Bins of its profile. */
  readonly bins: number
  /** Sum of squares left over, in squared codes; at `AMOUNTS.length · radius + amount`. */
  readonly left: Float64Array
  /** σ of the best, at the same places. */
  readonly sigma: Float64Array
  /** Height of its step without any sharpening, codes. */
  readonly step: number
}

/** Code to light and back. */
export interface Curve {
  readonly decode: (code: number) => number
  readonly encode: (light: number) => number
}

/** Undefined where the profile holds no step up. */
export function sharpEdge({ s, value }: Profile, curve: Curve): SharpEdge | undefined {
  const n = s.length
  const side = Math.max(Math.round(n / 5), 1)
  const [low, high] = [mean(value.subarray(0, side)), mean(value.subarray(n - side))]
  const spreads = spreadsOf(bendOf(low, high, curve))
  const middle = middleOf(s, value, (low + high) / 2)
  if (middle === undefined) return undefined
  const line = lineAt(s)
  const v = value.slice()
  without(v, line)
  const [left, sigma] = [new Float64Array(SLOTS).fill(Number.POSITIVE_INFINITY), new Float64Array(SLOTS)]
  let step = 0
  for (const family of spreads) {
    const tried = family.map((own) => restsOf(own, s, v, line, middle))
    for (let slot = 0; slot < SLOTS; slot++) {
      const at = (i: number) => tried[i]?.rest[slot] ?? Number.POSITIVE_INFINITY
      let best = 0
      for (let i = 1; i < family.length; i++) if (at(i) < at(best)) best = i
      const { least, place } = lowPoint(at(best - 1), at(best), at(best + 1))
      if (!(least < left[slot]!)) continue
      left[slot] = least
      const beside = family[best + Math.sign(place)] ?? family[best]!
      sigma[slot] = family[best]!.sigma + Math.abs(place) * (beside.sigma - family[best]!.sigma)
      if (slot === NONE) step = tried[best]!.step
    }
  }
  if (!(step > 0)) return undefined
  return { bins: n, left: left.map((v) => Math.max(v, 0)), sigma, step }
}

/** The slot of an edge that was not sharpened. */
const NONE = AMOUNTS.indexOf(0)

/** What is left over of an edge that was as soft as this, by amount and radius, at its best place; and its step where nothing was sharpened. */
function restsOf(
  own: Spread,
  s: Float64Array,
  v: Float64Array,
  line: readonly Float64Array[],
  middle: number,
): { rest: Float64Array; step: number } {
  const [e, w] = [new Float64Array(s.length), new Float64Array(s.length)]
  const vv = dot(v, v)
  let step = 0
  const rests = [-SHIFT, 0, SHIFT].map((shift) => {
    const rest = new Float64Array(SLOTS).fill(Number.POSITIVE_INFINITY)
    const at = middle + shift - own.middle
    sample(own.plain, s, at, e)
    without(e, line)
    const [ev, ee] = [dot(v, e), dot(e, e)]
    if (shift === 0) step = ev / ee
    for (let k = 0; k < RADII.length; k++) {
      sample(own.soft[k]!, s, at, w)
      without(w, line)
      const [wv, ew, ww] = [dot(v, w), dot(e, w), dot(w, w)]
      for (let j = 0; j < AMOUNTS.length; j++) {
        const [p, q] = [1 + AMOUNTS[j]!, AMOUNTS[j]!]
        const fv = p * ev - q * wv
        if (fv > 0) rest[k * AMOUNTS.length + j] = vv - fv ** 2 / (p * p * ee - 2 * p * q * ew + q * q * ww)
      }
    }
    return rest
  })
  const [before, here, after] = rests as [Float64Array, Float64Array, Float64Array]
  return { rest: here.map((r, i) => lowPoint(before[i]!, r, after[i]!).least), step }
}

/** Lowest value of the parabola through three even places about the middle one, and where, in steps; at its sides the lower of what is there. */
function lowPoint(before: number, here: number, after: number): { least: number; place: number } {
  const bend = before - 2 * here + after
  const place = (before - after) / (2 * bend)
  if (bend > 0 && Math.abs(place) <= 1) return { least: here - (bend * place * place) / 2, place }
  return { least: Math.min(before, here, after), place: 0 }
}

/** Orthonormal: a constant and a slope. */
function lineAt(s: Float64Array): Float64Array[] {
  const out: Float64Array[] = []
  for (const one of [s.map(() => 1), s.slice()]) {
    without(one, out)
    const long = Math.sqrt(dot(one, one))
    out.push(one.map((x) => x / long))
  }
  return out
}

/** Takes what lies along an orthonormal basis out, in place. */
function without(v: Float64Array, basis: readonly Float64Array[]): void {
  for (const b of basis) {
    const share = dot(v, b)
    for (let i = 0; i < v.length; i++) v[i]! -= share * b[i]!
  }
}

/** p of `spread.ts`. */
function bendOf(low: number, high: number, { decode, encode }: Curve): number {
  const half = (encode((decode(low) + decode(high)) / 2) - low) / (high - low)
  return half > 0.5 && half < 1 ? Math.log(half) / Math.log(0.5) : 1
}

/** A table at the profile's places. */
function sample(table: Spread['plain'], s: Float64Array, at: number, out: Float64Array): void {
  for (let i = 0; i < s.length; i++) {
    const t = Math.min(Math.max((s[i]! - at + FAR) * FINE, 0), 2 * FAR * FINE - 1e-9)
    const k = Math.floor(t)
    out[i] = table[k]! + (t - k) * (table[k + 1]! - table[k]!)
  }
}

/** Where the profile crosses a level upwards, nearest to the place. */
function middleOf(s: Float64Array, value: Float64Array, half: number): number | undefined {
  let best: number | undefined
  for (let i = 1; i < s.length; i++) {
    const [a, b] = [value[i - 1]!, value[i]!]
    if (!(a <= half && b > half)) continue
    const at = s[i - 1]! + ((half - a) / (b - a)) * (s[i]! - s[i - 1]!)
    if (best === undefined || Math.abs(at) < Math.abs(best)) best = at
  }
  return best !== undefined && Math.abs(best) <= 2 ? best : undefined
}

function mean(of: Float64Array): number {
  let sum = 0
  for (let i = 0; i < of.length; i++) sum += of[i]!
  return sum / of.length
}

function dot(a: Float64Array, b: Float64Array): number {
  let sum = 0
  for (let i = 0; i < a.length; i++) sum += a[i]! * b[i]!
  return sum
}
