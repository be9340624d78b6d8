/**
 * The plate's grain as a smaller picture of it shows it, whose pixels are means over squares of 1/f pixels.
 *
 *   σ²f = σ² · c_x(0) · c_y(0)      ρf(m) = c(m) / c(0)      c(m) = mean over p of Σ w_p(i) · w_(p+m)(j) · ρ(i − j)
 *
 *   f  factor, at most 1    w_p  share of source pixel i in output pixel p    ρ  correlation along one axis, of the grain's taps
 *
 * Grain that is wider than a pixel loses less than white noise does, and is less wide afterwards; blotches (`blotch.ts`) hardly lose. Source: variance of a mean of
 * correlated numbers; common practice.
 */
import { areaTaps, tapsFor } from '../../../kernels/index.js'
import { blotchLag } from './blotch.js'

/** The lists of the plate's treatments that change. */
export interface ShrunkLists {
  readonly variance: readonly number[]
  readonly correlation: readonly number[]
  /** Share of the variance in blotches. */
  readonly coarse: readonly number[]
}

/** Output pixels over which the phases of the squares are averaged. */
const PHASES = 16

/** @param size of the blotches, plate pixels */
export function shrunkGrain(lists: ShrunkLists, factor: number, size = 0): ShrunkLists {
  const levels = lists.variance.length / 3
  const lag = (i: number) => lists.correlation[i] ?? 0
  const axes = Array.from({ length: 6 }, (_, k) => alongAxis(ofTaps(lag(2 * k), lag(2 * k + 1)), factor))
  const fine = (channel: number) => (axes[2 * channel]?.kept ?? 1) * (axes[2 * channel + 1]?.kept ?? 1)
  const share = (i: number) => lists.coarse[i] ?? 0
  const wide = lists.coarse.length > 0 ? alongAxis((m) => blotchLag(m, size), factor).kept ** 2 : 0
  const parts = lists.variance.map((v, i) => ({
    fine: v * (1 - share(i)) * fine(Math.floor(i / levels)),
    coarse: v * share(i) * wide,
  }))
  return {
    variance: parts.map((v) => v.fine + v.coarse),
    correlation: axes.flatMap((a) => a.correlation),
    coarse: lists.coarse.map((_, i) => {
      const one = parts[i] as (typeof parts)[number]
      return one.coarse / Math.max(one.fine + one.coarse, Number.MIN_VALUE)
    }),
  }
}

function ofTaps(lag1: number, lag2: number): (lag: number) => number {
  const taps = tapsFor(lag1, lag2)
  return (lag) => taps.reduce((sum, t, i) => sum + t * (taps[i + Math.abs(lag)] ?? 0), 0)
}

/** Share of the variance that is kept along one axis, and the correlations at one and two pixels afterwards. */
function alongAxis(at: (lag: number) => number, factor: number) {
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
