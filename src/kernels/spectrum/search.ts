/**
 * How far a window was blurred, of a family of blurs of one size each.
 *
 *   size = Σ s · L(s)^(1/scatter) / Σ L(s)^(1/scatter)     spread² = the same sum's variance
 *
 * over sizes 6 % apart, and finer around the likeliest; every ratio of sizes as likely beforehand. Where scatter is above 1 a difference
 * of likelihoods counts for less (`likelihood.ts`). Sizes are those of one ladder whatever is asked for, so that what a blur of one of
 * them leaves is worked out once (`cells.ts`).
 */
import type { BlurFamily } from './cells.js'
import type { Fitted, SpectrumLikelihood } from './likelihood.js'

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
  /** What else made the window likeliest. */
  readonly unknowns: Float64Array
}

/** One rung to the next, and the steps of one where it is looked at finer. */
const STEP = 1.06
const FINER = 8
/** Logarithm of a likelihood by which a step must be better to go on. */
const UPHILL = 0.1

interface Tried extends Fitted {
  readonly size: number
}

/** @param family the blur of a size; sizes from the last rung up to `smallest` to the first above `largest`, above 0 */
export function likeliestSize(
  likelihood: SpectrumLikelihood,
  family: BlurFamily,
  smallest: number,
  largest: number,
): Sized {
  const tried = trier(likelihood, family)
  const [first, last] = [Math.floor(rungOf(smallest)), Math.ceil(rungOf(largest))]
  const coarse = Array.from({ length: last - first + 1 }, (_, i) => tried(first + i))
  const near = likeliest(coarse)
  const rung = first + coarse.indexOf(near)
  const fine: Tried[] = []
  for (let i = 1 - FINER; i < FINER; i++)
    if (i !== 0) fine.push(tried(rung + i / FINER, fine.length === 0 ? near.unknowns : undefined))
  const all = [...coarse, ...fine].sort((a, b) => a.size - b.size)
  const { logLikelihood, told, unknowns, size: best, ...rest } = likeliest(all)
  const scatter = Math.max(rest.scatter, 1)
  return { ...moments(all, logLikelihood, scatter), best, logLikelihood, scatter, told, unknowns }
}

/**
 * Logarithm of the greatest likelihood that is reached uphill from a size, within a tenth: for families without rings, which have one
 * summit.
 *
 * @param near a blur that is about as likely
 */
export function likelihoodNear(
  likelihood: SpectrumLikelihood,
  family: BlurFamily,
  { best: size, unknowns }: Pick<Sized, 'best' | 'unknowns'>,
): number {
  const tried = trier(likelihood, family, unknowns)
  let at = Math.round(rungOf(size))
  let best = tried(at).logLikelihood
  for (const step of [1, -1, 1 / 4, -1 / 4])
    for (let gain = Number.POSITIVE_INFINITY; gain > UPHILL; ) {
      const next = tried(at + step).logLikelihood
      gain = next - best
      if (!(gain > 0)) break
      at += step
      best = next
    }
  return best
}

const sizeOf = (rung: number) => STEP ** rung
const rungOf = (size: number) => Math.log(size) / Math.log(STEP)

/** Each starts where the last two point to, unless it is told where. */
function trier(likelihood: SpectrumLikelihood, family: BlurFamily, start?: Float64Array) {
  let last = start
  let before = start
  return (rung: number, from?: Float64Array): Tried => {
    const size = sizeOf(rung)
    const [a, b] = [before, last]
    const ahead = a && b?.map((v, i) => 2 * v - (a[i] as number))
    const fitted = likelihood.under(family, size, from ?? ahead)
    ;[before, last] = [from ?? last ?? fitted.unknowns, fitted.unknowns]
    return { ...fitted, size }
  }
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
