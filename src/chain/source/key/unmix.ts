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
import { inverse, plus, type Symmetric, times } from './symmetric.js'

const STEPS = 12
const FINER = 3
const CHANNEL_UNSURE = 0.02
const LIGHT_UNSURE = 0.03
const SURELY = 1e-6
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
  const alpha = likeliest(c, b, m, s, light)
  const inverted = inverse(spreadOf(alpha, s, light, b))
  const moved = times(s, times(inverted, leftOf(alpha, c, m, b)))
  const colour = each((k) => Math.max(m[k] + alpha * moved[k], 0))
  const apart = [0, 1, 2].reduce(
    (sum, k) => sum + ((colour[k] as number) - (b[k] as number)) ** 2 / (light[k] as number),
    0,
  )
  return { alpha, colour, unsure: 1 / Math.sqrt(Math.max(apart, 1)) }
}

/** α where dᵀ M⁻¹ d + ln det M is least. Single numbers: asked some 25 times a pixel. */
function likeliest(c: Rgb, b: Rgb, m: Rgb, s: Symmetric, light: Rgb): number {
  let [best, least] = [0, Number.POSITIVE_INFINITY]
  const ask = (alpha: number) => {
    const rest = 1 - alpha
    const square = alpha * alpha
    const [lit, own] = [rest * LIGHT_UNSURE, rest * CHANNEL_UNSURE]
    const [u, v, w] = [lit * b[0], lit * b[1], lit * b[2]]
    const m00 = light[0] + (own * b[0]) ** 2 + u * u + square * s[0]
    const m11 = light[1] + (own * b[1]) ** 2 + v * v + square * s[1]
    const m22 = light[2] + (own * b[2]) ** 2 + w * w + square * s[2]
    const m01 = u * v + square * s[3]
    const m02 = u * w + square * s[4]
    const m12 = v * w + square * s[5]
    const x = c[0] - alpha * m[0] - rest * b[0]
    const y = c[1] - alpha * m[1] - rest * b[1]
    const z = c[2] - alpha * m[2] - rest * b[2]
    const [k00, k01, k02] = [m11 * m22 - m12 * m12, m02 * m12 - m01 * m22, m01 * m12 - m02 * m11]
    const [k11, k22, k12] = [m00 * m22 - m02 * m02, m00 * m11 - m01 * m01, m01 * m02 - m00 * m12]
    const det = m00 * k00 + m01 * k01 + m02 * k02
    const off =
      (x * (k00 * x + k01 * y + k02 * z) +
        y * (k01 * x + k11 * y + k12 * z) +
        z * (k02 * x + k12 * y + k22 * z)) /
      det
    // The engine's own logarithm only rules out what is worse by far more than engines differ.
    if (off + Math.log(det) > least + SURELY) return
    const cost = off + ln(det)
    if (cost < least) [best, least] = [alpha, cost]
  }
  for (let k = 0; k <= STEPS; k++) ask(k / STEPS)
  let step = 1 / STEPS
  for (let turn = 0; turn < FINER; turn++) {
    step /= 3
    const from = best
    for (let k = -2; k <= 2; k++)
      if (k !== 0 && from + k * step >= 0 && from + k * step <= 1) ask(from + k * step)
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
