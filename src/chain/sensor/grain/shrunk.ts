/**
 * The plate's grain as a smaller picture of it shows it, whose pixels are means over squares of 1/f pixels.
 *
 *   σ²f = σ² · c_x(0) · c_y(0)      ρf(m) = c(m) / c(0)      c(m) = mean over p of Σ w_p(i) · w_(p+m)(j) · ρ(i − j)
 *
 *   f  factor, at most 1    w_p  share of source pixel i in output pixel p    ρ  correlation along one axis, of the grain's taps
 *
 * Grain that is wider than a pixel loses less than white noise does, and is less wide afterwards. Source: variance of a mean of
 * correlated numbers; common practice.
 */
import { areaTaps, tapsFor } from '../../../kernels/index.js'

/** The lists of the plate's treatments. */
export interface GrainLists {
  readonly variance: readonly number[]
  readonly correlation: readonly number[]
}

/** Output pixels over which the phases of the squares are averaged. */
const PHASES = 16

export function shrunkGrain({ variance, correlation }: GrainLists, factor: number): GrainLists {
  const levels = variance.length / 3
  const axes = Array.from({ length: 6 }, (_, k) =>
    alongAxis(correlation[2 * k] ?? 0, correlation[2 * k + 1] ?? 0, factor),
  )
  const kept = (channel: number) => (axes[2 * channel]?.kept ?? 1) * (axes[2 * channel + 1]?.kept ?? 1)
  return {
    variance: variance.map((v, i) => v * kept(Math.floor(i / levels))),
    correlation: axes.flatMap((a) => a.correlation),
  }
}

/** Share of the variance that is kept along one axis, and the correlations at one and two pixels afterwards. */
function alongAxis(lag1: number, lag2: number, factor: number) {
  const taps = tapsFor(lag1, lag2)
  const at = (lag: number) => taps.reduce((sum, t, i) => sum + t * (taps[i + Math.abs(lag)] ?? 0), 0)
  const squares = areaTaps(0, PHASES + 2, factor, 0, Math.ceil((PHASES + 2) / factor), 'held')
  const covariance = (lag: number) => {
    let sum = 0
    for (let p = 0; p < PHASES; p++) sum += between(squares, p, p + lag, at)
    return sum / PHASES / at(0)
  }
  const kept = covariance(0)
  return { kept, correlation: [covariance(1) / kept, covariance(2) / kept] }
}

function between(
  { n, first, count, weight }: ReturnType<typeof areaTaps>,
  p: number,
  q: number,
  at: (lag: number) => number,
): number {
  let sum = 0
  for (let i = 0; i < (count[p] as number); i++) {
    for (let j = 0; j < (count[q] as number); j++) {
      const lag = (first[q] as number) + j - (first[p] as number) - i
      sum += (weight[n * p + i] as number) * (weight[n * q + j] as number) * at(lag)
    }
  }
  return sum
}
