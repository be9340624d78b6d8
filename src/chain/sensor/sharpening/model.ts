/**
 * In-camera sharpening: what a camera adds to its luma after the curve.
 *
 *   Y′ = Y + a·(Y − w∗Y)          w  Gaussian of ρ px      a  amount
 *
 * Beside a straight edge that was Φ(s/σ) before, Y′ swings beyond both sides by
 *
 *   overshoot = max over s of  Φ(s/σ) + a·(Φ(s/σ) − Φ(s/√(σ² + ρ²)))  − 1      as a share of the step
 *
 * Many pairs of a and ρ make the same of an edge of one width, and a plate has few widths: so the document holds the overshoot of the
 * width that its sharp edges had, 2.5631 σ from 10 to 90 %, beside that width and ρ. Source: the unsharp mask as [gonzalez2018 §3.6]
 * has it; edges: [iso12233].
 * @example a = 1, ρ = 1.5 px, width 2 px → 0.1329
 */
import { normalShare } from '../../../core/index.js'

export interface Sharpening {
  /** Share of the step. */
  readonly overshoot: number
  /** From 10 to 90 % before it was sharpened, px. */
  readonly width: number
  /** ρ, px */
  readonly radius: number
}

/** 10 to 90 % of a Gaussian edge over its standard deviation. */
export const WIDTH = 2.5631
/** Distances that are looked at, px. */
const STEP = 1 / 32
/** No camera sharpens so much. */
const MOST = 64
const HALVINGS = 30

/** How far an edge of this width swings beyond its brighter side, as a share of its step; an amount below 0 softens. */
export function overshootOf(amount: number, radius: number, width: number): number {
  const sigma = width / WIDTH
  const wide = Math.hypot(sigma, radius)
  let most = 0
  for (let s = 0; s < 4 * wide; s += STEP) {
    const edge = normalShare(s / sigma)
    most = Math.max(most, edge + amount * (edge - normalShare(s / wide)) - 1)
  }
  return most
}

/** a */
export function amountFor({ overshoot, width, radius }: Sharpening): number {
  if (overshoot <= 0) return 0
  let [low, high] = [0, 1]
  while (overshootOf(high, radius, width) < overshoot && high < MOST) [low, high] = [high, 2 * high]
  for (let i = 0; i < HALVINGS; i++) {
    const middle = (low + high) / 2
    if (overshootOf(middle, radius, width) < overshoot) low = middle
    else high = middle
  }
  return (low + high) / 2
}

/** The same below 0 for edges that are softer than any blur makes them: what noise makes of none. */
export function swingOf(amount: number, radius: number, width: number): number {
  return amount >= 0 ? overshootOf(amount, radius, width) : -overshootOf(-amount, radius, width)
}
