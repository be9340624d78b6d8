/**
 * A first guess at a motion that half of the points may disagree with: the similarity that carries two of them from where they were
 * predicted to where they are seen, of 40 samples of two the one whose median square error is least (pairs count by their share: a cluster that looks at one texture is no majority). With half of the points wrong 17 samples
 * find one without a wrong point 99 times in 100; more of them meet points that lie further apart.
 *
 * Samples are drawn by a hash of the frame: the same ones on every run.
 * Source: [fischler1981] for samples; [rousseeuw1987] for the least median of squares.
 */
import { multiply3 } from '../../../../colour/index.js'
import { hash } from '../../../../core/index.js'
import { at, type Matrix3, type Place } from '../matrix.js'
import { middleOf, ownCount, type Pairs, placeOf, squaresOf } from './pairs.js'

const SAMPLES = 40

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

/**
 * @param predicted about where things are expected, px to px
 * @param seed of the samples; the frame
 */
export function firstGuess(pairs: Pairs, predicted: Matrix3, seed: number): Matrix3 {
  const used = [...pairs.weight.keys()].filter((k) => (pairs.weight[k] as number) > 0)
  const there = pairs.from.slice()
  for (const k of used) there.set(at(predicted, ...placeOf(pairs.from, k)), 2 * k)
  let best = predicted
  let squares = squaresOf(predicted, pairs)
  let least = middleOf(squares, pairs)
  const half = ownCount(pairs) / 2
  if (used.length < 3) return best
  for (let sample = 0; sample < SAMPLES; sample++) {
    const p = used[hash(seed, sample, 0, 0, 0) % used.length] as number
    const q = used[hash(seed, sample, 1, 0, 0) % used.length] as number
    if (p === q) continue
    const step = throughTwo(placeOf(there, p), placeOf(there, q), placeOf(pairs.to, p), placeOf(pairs.to, q))
    const tried = multiply3(step, predicted)
    squares = squaresOf(tried, pairs)
    // A median is below `least` only where half of the values are: most guesses need no sorting.
    if (below(squares, least, pairs) <= half) continue
    ;[best, least] = [tried, middleOf(squares, pairs)]
  }
  return best
}

/** The similarity that carries p to u and q to v; not finite where p is q. */
function throughTwo(p: Place, q: Place, u: Place, v: Place): Matrix3 {
  const [x, y, s, t] = [q[0] - p[0], q[1] - p[1], v[0] - u[0], v[1] - u[1]]
  const square = x * x + y * y
  const [a, b] = [(x * s + y * t) / square, (x * t - y * s) / square]
  return [a, -b, u[0] - a * p[0] + b * p[1], b, a, u[1] - b * p[0] - a * p[1], 0, 0, 1]
}

function below(squares: Float64Array, limit: number, { share }: Pairs): number {
  let sum = 0
  for (let k = 0; k < squares.length; k++) if ((squares[k] as number) < limit) sum += share[k] as number
  return sum
}
