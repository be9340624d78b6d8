/**
 * How far a window was blurred, of a family of blurs of one size each.
 *
 *   size = Σ s · L(s)^(1/scatter) / Σ L(s)^(1/scatter)     spread² = the same sum's variance
 *
 * over sizes 6 % apart, and finer around the likeliest; every ratio of sizes as likely beforehand. Where scatter is above 1 a difference
 * of likelihoods counts for less (`likelihood.ts`).
 */
import type { Fitted, SpectrumLikelihood, Transfer } from './likelihood.js'

export interface Sized {
  /** Mean over what is likely, and its standard deviation; in the family's unit. */
  readonly size: number
  readonly spread: number
  /** The likeliest itself. */
  readonly best: number
  /** Logarithm of the greatest likelihood. */
  readonly logLikelihood: number
  /** Deviance a degree of freedom, 1 at least. */
  readonly scatter: number
  /** Rings of the spectrum on which the blurred scene stands above the noise. */
  readonly told: number
}

const STEP = 1.06
const FINER = 8

interface Tried extends Fitted {
  readonly size: number
}

/** @param family the blur of a size; `smallest` and `largest` size, above 0 */
export function likeliestSize(
  likelihood: SpectrumLikelihood,
  family: (size: number) => Transfer,
  smallest: number,
  largest: number,
): Sized {
  let from: Float64Array | undefined
  const tried = (size: number): Tried => {
    const fitted = likelihood.under(family(size), from)
    from = fitted.unknowns
    return { ...fitted, size }
  }
  const coarse: Tried[] = []
  for (let size = smallest; size < largest; size *= STEP) coarse.push(tried(size))
  const near = likeliest(coarse)
  from = near.unknowns
  const around = Array.from({ length: 2 * FINER - 1 }, (_, i) => near.size * STEP ** ((i + 1) / FINER - 1))
  const fine = around.filter((s) => s !== near.size).map(tried)
  const all = [...coarse, ...fine].sort((a, b) => a.size - b.size)
  const { logLikelihood, told, size: best, ...rest } = likeliest(all)
  const scatter = Math.max(rest.scatter, 1)
  return { ...moments(all, logLikelihood, scatter), best, logLikelihood, scatter, told }
}

function likeliest(tried: readonly Tried[]): Tried {
  return tried.reduce((a, b) => (b.logLikelihood > a.logLikelihood ? b : a))
}

function moments(tried: readonly Tried[], best: number, scatter: number): { size: number; spread: number } {
  let [whole, first, second] = [0, 0, 0]
  tried.forEach(({ size, logLikelihood }, i) => {
    const ratio = (tried[i + 1] ?? tried[i]).size / (tried[i - 1] ?? tried[i]).size
    const weight = Math.log(ratio) * Math.exp((logLikelihood - best) / scatter)
    whole += weight
    first += weight * size
    second += weight * size ** 2
  })
  const mean = first / whole
  return { size: mean, spread: Math.sqrt(Math.max(second / whole - mean ** 2, 0)) }
}
