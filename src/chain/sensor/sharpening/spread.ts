/**
 * Edge spread in codes, before a camera sharpens it and blurred by what it sharpens with.
 *
 *   E(s) = L(s)^p        L  a step in light after a blur, 0 to 1: Φ(s/σ), or a disc's      G_ρ∗E
 *
 *   p  how the curve bends the way from the darker to the brighter side: 1 is straight, ½^p its code half way up in light
 *
 * A blur happens in light and sharpening in codes, and lenses draw edges that end sooner than a Gaussian does: without both, what is left
 * over looks like sharpening. A disc's line spread is a half ellipse; the integral is Gauss–Chebyshev of the second kind,
 * [abramowitz1964 25.4.40].
 */
import { normalShare } from '../../../core/index.js'

export const RADII: readonly number[] = [0.6, 0.75, 0.95, 1.2, 1.5, 1.9, 2.4]
/** Bends that are told apart. */
const BENDS: readonly number[] = ladder(0.38, 1, 1.05)
const GAUSSIANS: readonly number[] = ladder(0.2, 2.5, 1.16)
const DISCS: readonly number[] = ladder(0.5, 3.4, 1.12)
/** What bins of half a pixel blur by, beside a disc: √(½² / 12). */
const BINS = 0.144
const NODES = 32
/** Standard deviation of a pixel's own width. */
const BOX = Math.sqrt(1 / 12)
/** Tables: samples a px, px to either side, and beyond for the blur. */
export const FINE = 8
export const FAR = 10
const BEYOND = 10

export interface Spread {
  /** Standard deviation of its line spread in light, px. */
  readonly sigma: number
  /** Where E is ½, px. */
  readonly middle: number
  /** E at (i − FINE · FAR) / FINE px. */
  readonly plain: Float64Array
  /** G_ρ∗E of each radius. */
  readonly soft: readonly Float64Array[]
}

const HALF = FINE * (FAR + BEYOND)
const made = new Map<number, readonly (readonly Spread[])[]>()
let steps: readonly (readonly Step[])[] | undefined

/** All that are tried for an edge of this bend: Gaussians, then discs, each from narrow to wide by even factors. */
export function spreadsOf(bend: number): readonly (readonly Spread[])[] {
  const p = BENDS.reduce((a, b) => (Math.abs(b - bend) < Math.abs(a - bend) ? b : a))
  let found = made.get(p)
  if (found === undefined) {
    steps ??= [
      GAUSSIANS.map((sigma) => stepOf((s) => normalShare(s / sigma), Math.hypot(sigma, BOX))),
      DISCS.map((r) => stepOf((s) => disc(s, r), Math.hypot(r / 2, BINS, BOX))),
    ]
    found = steps.map((family) => family.map((step) => spreadOf(step, p)))
    made.set(p, found)
  }
  return found
}

interface Step {
  readonly sigma: number
  readonly light: Float64Array
}

/** In light, over a pixel's width by the trapezium rule. */
function stepOf(light: (s: number) => number, sigma: number): Step {
  const ends = FINE / 2
  const fine = Float64Array.from({ length: 2 * (HALF + ends) + 1 }, (_, i) => light((i - HALF - ends) / FINE))
  const wide = Float64Array.from({ length: 2 * HALF + 1 }, (_, i) => {
    let sum = (fine[i]! + fine[i + FINE]!) / 2
    for (let k = 1; k < FINE; k++) sum += fine[i + k]!
    return Math.max(sum / FINE, 0)
  })
  return { sigma, light: wide }
}

function spreadOf({ sigma, light }: Step, p: number): Spread {
  const whole = light.map((v) => v ** p)
  const inner = (of: Float64Array) => of.slice(FINE * BEYOND, 2 * HALF + 1 - FINE * BEYOND)
  const after = whole.findIndex((v) => v >= 0.5)
  const back = (whole[after]! - 0.5) / (whole[after]! - whole[after - 1]!)
  return {
    sigma,
    middle: (after - back - HALF) / FINE,
    plain: inner(whole),
    soft: RADII.map((radius) => inner(softened(whole, radius))),
  }
}

function softened(v: Float64Array, radius: number): Float64Array {
  const reach = Math.ceil(4 * radius * FINE)
  const taps = Float64Array.from({ length: reach + 1 }, (_, i) => Math.exp(-((i / FINE / radius) ** 2) / 2))
  const sum = 2 * taps.reduce((a, b) => a + b, 0) - 1
  const at = (i: number) => v[Math.min(Math.max(i, 0), v.length - 1)]!
  return v.map((own, i) => {
    let s = own
    for (let k = 1; k <= reach; k++) s += taps[k]! * (at(i - k) + at(i + k))
    return s / sum
  })
}

function disc(s: number, r: number): number {
  let sum = 0
  for (let k = 1; k <= NODES; k++) {
    const a = (k * Math.PI) / (NODES + 1)
    sum += Math.sin(a) ** 2 * normalShare((s - r * Math.cos(a)) / BINS)
  }
  return (2 * sum) / (NODES + 1)
}

function ladder(from: number, to: number, ratio: number): number[] {
  const out: number[] = []
  for (let v = from; v <= to; v *= ratio) out.push(v)
  return out
}
