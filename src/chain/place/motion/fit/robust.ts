/**
 * Which points go with the motion. Half of them may do something else:
 *
 *   1. a prediction (the motion of the frame before), and the similarity from it to what is seen that two points give, of 40 samples
 *      of two the one whose median square error is least; what one sample of two finds with up to half of the points wrong, 17 find
 *      99 times in 100 [fischler1981]
 *   2. σ = median |r| / 1.1774 · (1 + 5 / (n − k)), r in the points' spreads, not below 1        median of Rayleigh's law; [rousseeuw1987]
 *   3. four times: weights (1 − (r / 4.685σ)²)², 0 beyond; the motion by these weights; σ again   [beaton1974]
 *   4. with it go the points with r ≤ 3.717σ: 999 of 1000 where errors are normal (χ² of two degrees: 13.82)
 *
 * Samples are drawn by a hash of the frame: the same ones on every run.
 */
import { multiply3 } from '../../../../colour/index.js'
import { hash, median } from '../../../../core/index.js'
import { at, type Matrix3, type Place } from '../matrix.js'
import { type Fit, fitMotion, type Lens } from './fit.js'
import type { Model } from './models.js'
import { countOf, type Pairs } from './pairs.js'

const SAMPLES = 40
const ROUNDS = 4
const RAYLEIGH_MEDIAN = 1.17741
const BISQUARE = 4.685
const AGREES = 3.717

/**
 * How many samples of `size` points are needed for one without a wrong point, N = ln(1 − p) / ln(1 − (1 − e)^size), rounded up.
 *
 * @param sure p, 0 to 1 (excluded)
 * @param wrong e, the share of wrong points, 0 to 1 (excluded)
 * Source: [fischler1981], [hartley2004 §4.7.1].
 */
export function samplesNeeded(sure: number, wrong: number, size: number): number {
  return Math.ceil(Math.log(1 - sure) / Math.log(1 - (1 - wrong) ** size))
}

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
export function robustMotion(model: Model, pairs: Pairs, predicted: Matrix3, seed: number, lens?: Lens): RobustFit | undefined {
  let errors = errorsOf(begun(pairs, predicted, seed), pairs)
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
  const most = AGREES * scaleOf(errors, model.free)
  const agrees = Uint8Array.from(pairs.weight, (w, k) => (w > 0 && (errors[k] as number) <= most ? 1 : 0))
  const fit = fitMotion(model, { ...pairs, weight: pairs.weight.map((w, k) => w * (agrees[k] as number)) }, lens)
  return fit && { ...fit, agrees }
}

/** |r| in spreads, per pair; infinite for one that is left out or carried to infinity. */
function errorsOf(m: Matrix3, { from, to, weight }: Pairs): Float64Array {
  return weight.map((w, k) => {
    const [u, v] = at(m, from[2 * k] as number, from[2 * k + 1] as number)
    const square = w * ((u - (to[2 * k] as number)) ** 2 + (v - (to[2 * k + 1] as number)) ** 2)
    return w > 0 && Number.isFinite(square) ? Math.sqrt(square) : Number.POSITIVE_INFINITY
  })
}

function scaleOf(errors: Float64Array, free: number): number {
  const known = errors.filter(Number.isFinite)
  const spare = Math.max(known.length - free / 2, 1)
  return Math.max(1, (median(known) / RAYLEIGH_MEDIAN) * (1 + 5 / (2 * spare)))
}

function begun(pairs: Pairs, predicted: Matrix3, seed: number): Matrix3 {
  const used = [...pairs.weight.keys()].filter((k) => (pairs.weight[k] as number) > 0)
  const there = new Map(used.map((k) => [k, at(predicted, pairs.from[2 * k] as number, pairs.from[2 * k + 1] as number)]))
  let best = predicted
  let least = middleOf(errorsOf(predicted, pairs))
  if (countOf(pairs) < 3) return best
  for (let sample = 0; sample < SAMPLES; sample++) {
    const first = used[hash(seed, sample, 0, 0, 0) % used.length] as number
    const second = used[hash(seed, sample, 1, 0, 0) % used.length] as number
    if (first === second) continue
    const step = throughTwo(there.get(first) as Place, there.get(second) as Place, seenAt(pairs, first), seenAt(pairs, second))
    const tried = multiply3(step, predicted)
    const middle = middleOf(errorsOf(tried, pairs))
    if (middle < least) [best, least] = [tried, middle]
  }
  return best
}

const seenAt = ({ to }: Pairs, k: number): Place => [to[2 * k] as number, to[2 * k + 1] as number]

/** The similarity that carries p to u and q to v; not finite where p is q. */
function throughTwo(p: Place, q: Place, u: Place, v: Place): Matrix3 {
  const [x, y, s, t] = [q[0] - p[0], q[1] - p[1], v[0] - u[0], v[1] - u[1]]
  const square = x * x + y * y
  const [a, b] = [(x * s + y * t) / square, (x * t - y * s) / square]
  return [a, -b, u[0] - a * p[0] + b * p[1], b, a, u[1] - b * p[0] - a * p[1], 0, 0, 1]
}

const middleOf = (errors: Float64Array) => median(errors.filter(Number.isFinite))
