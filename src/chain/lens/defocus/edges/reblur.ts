/**
 * The blur of one edge by blurring it once more: how much flatter it gets.
 *
 *   R = v′_σa(s₀) / v′_σb(s₀)      σb² = σa² + σ₀²
 *
 *   v′_σ  slope of the profile after a Gaussian of σ, at the edge: the slope of a line through it, weighted by that Gaussian
 *   σa    what makes a slope of samples out of bins, an eighth of the profile's half     σ₀  the blur that is put on top, a quarter
 *
 * A sharp edge gets much flatter, a soft one hardly: R falls as the blur grows, and R of steps blurred by each size (`spread.ts`) says
 * which it was. Of a Gaussian edge alone σ = σ₀ / √(R² − 1). It is asked at the edge's middle alone, where the fit of `fit.ts` asks the
 * whole profile: what sharpens edges, or lies beside them, leads the two apart. Source: [zhuo2011].
 */
import { BIN, type Profile } from '../../../../kernels/index.js'
import { type EdgeSpread, SHIFTS } from './spread.js'

const SLOPE = 1 / 8
const AGAIN = 1 / 4
/** How many spreads of both two ways may lie apart: a choice. */
const BORNE_OUT = 2

/** R of each size of a family, which falls along it. */
export type Ratios = readonly { readonly size: number; readonly ratio: number }[]

export function ratiosOf(across: number, family: readonly EdgeSpread[]): Ratios {
  const s = Float64Array.from({ length: Math.round((2 * across) / BIN) }, (_, i) => (i + 0.5) * BIN - across)
  return family.map(({ size, at }) => ({ size, ratio: ratioAt({ s, value: s.map(at) }, across, 0) }))
}

/** The size of blur; infinite where the edge is softer than any of the family, the first size where it is sharper. */
export function reblurSize(profile: Profile, across: number, ratios: Ratios): number {
  const [, wide] = sigmas(across)
  let middle = 0
  let steepest = 0
  for (const shift of SHIFTS) {
    const slope = slopeAt(profile, wide, shift)
    if (slope > steepest) [steepest, middle] = [slope, shift]
  }
  const ratio = ratioAt(profile, across, middle)
  const after = ratios.findIndex((r) => r.ratio <= ratio)
  if (after < 0) return Number.POSITIVE_INFINITY
  const [low, high] = [ratios[after - 1], ratios[after]] as [Ratios[number] | undefined, Ratios[number]]
  if (low === undefined) return high.size
  const t = (low.ratio - ratio) / (low.ratio - high.ratio)
  return low.size * (high.size / low.size) ** t
}

interface Radius {
  readonly radius: number
  readonly spread: number
}

/** Whether this way says the same as another; undefined where it is softer than this one tells. */
export function borneOut(found: Radius, again: Radius): boolean | undefined {
  if (again.radius === Number.POSITIVE_INFINITY) return undefined
  return Math.abs(again.radius - found.radius) <= BORNE_OUT * Math.hypot(found.spread, again.spread)
}

function sigmas(across: number): [number, number] {
  return [SLOPE * across, Math.hypot(SLOPE, AGAIN) * across]
}

function ratioAt(profile: Profile, across: number, middle: number): number {
  const [narrow, wide] = sigmas(across)
  return slopeAt(profile, narrow, middle) / slopeAt(profile, wide, middle)
}

function slopeAt({ s, value }: Profile, sigma: number, middle: number): number {
  let [w0, ws, wv, wss, wsv] = [0, 0, 0, 0, 0]
  for (let i = 0; i < s.length; i++) {
    const d = (s[i] as number) - middle
    const w = Math.exp((-d * d) / (2 * sigma * sigma))
    const v = value[i] as number
    w0 += w
    ws += w * d
    wv += w * v
    wss += w * d * d
    wsv += w * d * v
  }
  return (w0 * wsv - ws * wv) / (w0 * wss - ws * ws)
}
