/**
 * Edge spread: the light across a straight edge, 0 to 1, after a blur.
 *
 *   Gaussian  E(s) = Φ(s / √(σ² + σ₀²))
 *   disc      E(s) = (2 / π) ∫₋₁¹ √(1 − x²) Φ((s − r x) / σ₀) dx
 *
 *   s   distance from the edge   px      r, σ  the blur's radius and standard deviation   px
 *   σ₀  what the pixels blur by themselves   px   the scene's, the weights' and the sampling's: variances add
 *
 * A disc's line spread is a half ellipse; the integral is Gauss–Chebyshev of the second kind, [abramowitz1964 25.4.40]. Edge spread
 * and what it tells of a lens: [iso12233], [goodman2005 §6.4].
 */
import { normalShare } from '../../../../core/index.js'
import type { Shape } from '../transfer.js'

const NODES = 32
/** Distances of a table, px apart. */
const STEP = 1 / 16

/** Where the edge's middle may lie, px from the place that it was looked for at. */
export const SHIFTS = [-1.25, -1, -0.75, -0.5, -0.25, 0, 0.25, 0.5, 0.75, 1, 1.25]

export interface EdgeSpread {
  readonly size: number
  /** 0 to 1, at a distance in px. */
  readonly at: (s: number) => number
}

/** @param size r or σ; @param own σ₀ above 0; @param far the greatest distance asked for */
export function edgeSpread(shape: Shape, size: number, own: number, far: number): EdgeSpread {
  const n = Math.ceil(far / STEP) + 2
  const table = Float64Array.from({ length: 2 * n + 1 }, (_, i) => exact(shape, size, own, (i - n) * STEP))
  const at = (s: number) => {
    const t = Math.min(Math.max(s / STEP + n, 0), 2 * n - 1e-9)
    const i = Math.floor(t)
    return (table[i] as number) + (t - i) * ((table[i + 1] as number) - (table[i] as number))
  }
  return { size, at }
}

function exact(shape: Shape, size: number, own: number, s: number): number {
  if (shape === 'gaussian') return normalShare(s / Math.hypot(size, own))
  let sum = 0
  for (let k = 1; k <= NODES; k++) {
    const a = (k * Math.PI) / (NODES + 1)
    sum += Math.sin(a) ** 2 * normalShare((s - size * Math.cos(a)) / own)
  }
  return (2 * sum) / (NODES + 1)
}
