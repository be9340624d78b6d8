/**
 * Which points go with the motion. Half of them may do something else:
 *
 *   1. a first guess from two points (sample.ts)
 *   2. σ = median |r| / 1.1774 · (1 + 5 / (n − k)), r in the points' spreads, not below 1        n numbers seen, k fitted;
 *      the median of Rayleigh's law is 1.1774; the factor for few points by [rousseeuw1987 §5.1]
 *   3. four times: weights (1 − (r / 4.685σ)²)², 0 beyond; the motion by these weights; σ again   [beaton1974]
 *   4. with it go the points with r ≤ 3.717σ: 999 of 1000 where errors are normal (χ² of two degrees: 13.82)
 */
import type { Matrix3 } from '../matrix.js'
import { type Fit, fitMotion, type Lens, type Prior } from './fit.js'
import type { Model } from './models.js'
import { middleOf, ownCount, type Pairs, squaresOf } from './pairs.js'
import { firstGuess } from './sample.js'

const ROUNDS = 4
const RAYLEIGH_MEDIAN = 1.17741
const BISQUARE = 4.685
const AGREES = 3.717

export interface RobustFit extends Fit {
  /** 1 where the pair goes with the motion. */
  readonly agrees: Uint8Array
}

/**
 * The motion of kind `model` that most pairs follow, by least squares of those.
 *
 * @param predicted about where things are expected, px to px
 * @param seed of the samples; the frame
 * @param known what is known of it beside the pairs, about a motion near it
 * @returns undefined where those that agree do not settle it
 */
export function robustMotion(
  model: Model,
  pairs: Pairs,
  predicted: Matrix3,
  seed: number,
  lens?: Lens,
  known: (about: Matrix3) => readonly Prior[] = () => [],
): RobustFit | undefined {
  const guess = firstGuess(pairs, predicted, seed)
  let priors = known(guess)
  let errors = errorsOf(guess, pairs)
  for (let round = 0; round < ROUNDS; round++) {
    const cut = BISQUARE * scaleOf(errors, model.free, pairs)
    const weight = pairs.weight.map((w, k) => {
      const share = (errors[k] as number) / cut
      return share < 1 ? w * (1 - share * share) ** 2 : 0
    })
    const fit = fitMotion(model, { ...pairs, weight }, lens, priors)
    if (fit === undefined) break
    errors = errorsOf(fit.matrix, pairs)
    priors = known(fit.matrix)
  }
  const agrees = within(errors, model, pairs)
  const fit = fitMotion(
    model,
    { ...pairs, weight: pairs.weight.map((w, k) => w * (agrees[k] as number)) },
    lens,
    priors,
  )
  return fit && { ...fit, agrees }
}

function within(errors: Float64Array, model: Model, pairs: Pairs): Uint8Array {
  const most = AGREES * scaleOf(errors, model.free, pairs)
  return Uint8Array.from(pairs.weight, (w, k) => (w > 0 && (errors[k] as number) <= most ? 1 : 0))
}

/** |r| in spreads, per pair. */
function errorsOf(m: Matrix3, pairs: Pairs): Float64Array {
  return squaresOf(m, pairs).map(Math.sqrt)
}

function scaleOf(errors: Float64Array, free: number, pairs: Pairs): number {
  const spare = Math.max(ownCount(pairs) - free / 2, 1)
  return Math.max(1, (middleOf(errors, pairs) / RAYLEIGH_MEDIAN) * (1 + 5 / (2 * spare)))
}
