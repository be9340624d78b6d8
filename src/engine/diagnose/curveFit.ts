/**
 * How well a curve explains the noise of a picture: light's own noise, seen through the curve, against what was measured.
 *
 *   σ_y² = (a · L + b) · (dy / dL)²       L = decode(y), a and b ≥ 0 the camera's, fitted
 *   misfit = root mean square of ln(σ_y / σ) over the levels that have noise
 *
 * Needs noise that a codec left alone. Source: [emva1288] for the noise.
 */
import { curveOf } from '../../colour/index.js'
import type { CurveName } from '../../core/index.js'
import type { NoiseLook } from './noise.js'

const LEAST = 6
const STEP = 1e-3

export interface CurveFit {
  readonly curve: CurveName
  readonly misfit: number
}

/** @returns undefined where too few levels have noise */
export function fitOf(curve: CurveName, { levels, sigma }: NoiseLook, least: number): CurveFit | undefined {
  const { decode } = curveOf(curve)
  const terms: { u: number; v: number }[] = []
  levels.forEach((y, i) => {
    const s = sigma[i] as number
    if (s < least || y > 0.97) return
    const slope = (decode(y + STEP) - decode(y - STEP)) / (2 * STEP)
    const per = 1 / (s * slope) ** 2
    terms.push({ u: Math.max(decode(y), 0) * per, v: per })
  })
  if (terms.length < LEAST) return undefined
  const { a, b } = positive(terms)
  const square = terms.reduce((sum, { u, v }) => sum + (0.5 * Math.log(a * u + b * v)) ** 2, 0)
  return { curve, misfit: Math.sqrt(square / terms.length) }
}

/** Least squares of a·u + b·v = 1, neither below 0. */
function positive(terms: readonly { u: number; v: number }[]): { a: number; b: number } {
  let [uu, uv, vv, u1, v1] = [0, 0, 0, 0, 0]
  for (const { u, v } of terms) {
    uu += u * u
    uv += u * v
    vv += v * v
    u1 += u
    v1 += v
  }
  const det = uu * vv - uv * uv
  const a = det > 0 ? (u1 * vv - v1 * uv) / det : -1
  const b = det > 0 ? (v1 * uu - u1 * uv) / det : -1
  if (a >= 0 && b >= 0) return { a, b }
  return a < 0 ? { a: 0, b: v1 / vv } : { a: u1 / uu, b: 0 }
}
