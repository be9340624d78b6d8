/**
 * A pixel taken apart: how much of it is the element, and of which colour, where the screen's light is known and the element's
 * colours nearby are.
 *
 *   C = αF + (1−α)B + noise      F normal about m with covariance S, B about the screen's light, noise with n
 *
 *   α   the likeliest: least dᵀ M⁻¹ d + ln det M      d = C − αm − (1−α)B      M = α² S + N
 *   N   the camera's noise, diagonal (2√C σ)² + ((1−α) 0.02 B)², and the screen's brightness, unsure by 3 % in all channels
 *       alike: ((1−α) 0.03)² B Bᵀ
 *   F   then the likeliest too: m + αS M⁻¹ d
 *
 * On a grid of α, then on ever finer ones about its best. Source: [chuang2001], with the screen known, and F integrated out; its unsureness: choices.
 */
import { ln, type Rgb } from '../../../core/index.js'
import { determinant, inverse, plus, product, type Symmetric, times } from './symmetric.js'

const STEPS = 12
const FINER = 3
const CHANNEL_UNSURE = 0.02
const LIGHT_UNSURE = 0.03
/** σ of light is no less: what 8 bits of 4:2:0 leave in a dark channel of a strong colour. */
const LEAST_NOISE = 0.005
/** Variance that colours around always have: they are few. */
const LEAST_VARIANCE: Symmetric = [2e-4, 2e-4, 2e-4, 0, 0, 0]

export interface Around {
  readonly screen: Rgb
  readonly mean: Rgb
  readonly covariance: Symmetric
  /** σ of √light on the screen. */
  readonly noise: Rgb
}

export interface Unmixed {
  /** 0 to 1 */
  readonly alpha: number
  /** Straight colour of the element, linear, not below 0. */
  readonly colour: [number, number, number]
  /** σ of alpha by the camera's noise. */
  readonly unsure: number
}

export function unmix(c: Rgb, around: Around): Unmixed {
  const { screen: b, mean: m, noise } = around
  const s = plus(around.covariance, LEAST_VARIANCE, 1)
  const light = each((k) => Math.max(2 * Math.sqrt(Math.max(c[k], 0.2 * b[k])) * noise[k], LEAST_NOISE) ** 2)
  const cost = (alpha: number) => {
    const spread = spreadOf(alpha, s, light, b)
    const d = leftOf(alpha, c, m, b)
    return product(inverse(spread), d, d) + ln(determinant(spread))
  }
  const alpha = leastOf(cost)
  const inverted = inverse(spreadOf(alpha, s, light, b))
  const moved = times(s, times(inverted, leftOf(alpha, c, m, b)))
  const colour = each((k) => Math.max(m[k] + alpha * moved[k], 0))
  const apart = [0, 1, 2].reduce(
    (sum, k) => sum + ((colour[k] as number) - (b[k] as number)) ** 2 / (light[k] as number),
    0,
  )
  return { alpha, colour, unsure: 1 / Math.sqrt(Math.max(apart, 1)) }
}

/** Where a cost over 0 to 1 is least. */
function leastOf(cost: (alpha: number) => number): number {
  let [best, least] = [0, Number.POSITIVE_INFINITY]
  const ask = (alpha: number) => {
    const v = cost(alpha)
    if (v < least) [best, least] = [alpha, v]
  }
  for (let k = 0; k <= STEPS; k++) ask(k / STEPS)
  let step = 1 / STEPS
  for (let turn = 0; turn < FINER; turn++) {
    step /= 3
    const from = best
    for (const k of [-2, -1, 1, 2]) if (from + k * step >= 0 && from + k * step <= 1) ask(from + k * step)
  }
  return best
}

function spreadOf(alpha: number, s: Symmetric, light: Rgb, b: Rgb): Symmetric {
  const rest = 1 - alpha
  const [u, v, w] = each((k) => rest * LIGHT_UNSURE * b[k])
  const own = each((k) => light[k] + (rest * CHANNEL_UNSURE * b[k]) ** 2)
  return plus([own[0] + u * u, own[1] + v * v, own[2] + w * w, u * v, u * w, v * w], s, alpha * alpha)
}

function leftOf(alpha: number, c: Rgb, m: Rgb, b: Rgb): [number, number, number] {
  return each((k) => c[k] - alpha * m[k] - (1 - alpha) * b[k])
}

function each(f: (k: 0 | 1 | 2) => number): [number, number, number] {
  return [f(0), f(1), f(2)]
}
