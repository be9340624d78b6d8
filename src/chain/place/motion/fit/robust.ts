/**
 * Which points go with the motion. Half of them may do something else:
 *
 *   1. a first guess from two points (sample.ts)
 *   2. σ = median |r| / 1.1774 · (1 + 5 / (n − k)), r in the points' spreads, not below 1        n numbers seen, k fitted;
 *      the median of Rayleigh's law is 1.1774; the factor for few points by [rousseeuw1987 §5.1]
 *   3. four times: weights (1 − (r / 4.685σ)²)², 0 beyond; the motion by these weights; σ again   [beaton1974]
 *   4. with it go the points with r ≤ 3.717σ: 999 of 1000 where errors are normal (χ² of two degrees: 13.82)
 */
import { median } from '../../../../core/index.js'
import type { Matrix3 } from '../matrix.js'
import { type Fit, fitMotion, type Lens } from './fit.js'
import type { Model } from './models.js'
import { type Pairs, squaresOf } from './pairs.js'
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
 * @returns undefined where those that agree do not settle it
 */
export function robustMotion(
  model: Model,
  pairs: Pairs,
  predicted: Matrix3,
  seed: number,
  lens?: Lens,
): RobustFit | undefined {
  let errors = errorsOf(firstGuess(pairs, predicted, seed), pairs)
  for (let round = 0; round < ROUNDS; round++) {
    const cut = BISQUARE * scaleOf(errors, model.free)
    const weight = pairs.weight.map((w, k) => {
      const share = (errors[k] as number) / cut
      return share < 1 ? w * (1 - share * share) ** 2 : 0
    })
    const fit = fitMotion(model, { ...pairs, weight }, lens)
    if (fit === undefined) break
    errors = errorsOf(fit.matrix, pairs)
  }
  const agrees = within(errors, model, pairs)
  const fit = fitMotion(
    model,
    { ...pairs, weight: pairs.weight.map((w, k) => w * (agrees[k] as number)) },
    lens,
  )
  return fit && { ...fit, agrees }
}

/** 1 for the pairs that go with this motion of kind `model`. */
export function agreeing(m: Matrix3, model: Model, pairs: Pairs): Uint8Array {
  return within(errorsOf(m, pairs), model, pairs)
}

function within(errors: Float64Array, model: Model, pairs: Pairs): Uint8Array {
  const most = AGREES * scaleOf(errors, model.free)
  return Uint8Array.from(pairs.weight, (w, k) => (w > 0 && (errors[k] as number) <= most ? 1 : 0))
}

/** |r| in spreads, per pair. */
function errorsOf(m: Matrix3, pairs: Pairs): Float64Array {
  return squaresOf(m, pairs).map(Math.sqrt)
}

function scaleOf(errors: Float64Array, free: number): number {
  const known = errors.filter(Number.isFinite)
  const spare = Math.max(known.length - free / 2, 1)
  return Math.max(1, (median(known) / RAYLEIGH_MEDIAN) * (1 + 5 / (2 * spare)))
}
