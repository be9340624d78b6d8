/**
 * What stands around a pixel that must be asked: the screen's light there, and the element's colours, off what is surely one or
 * the other nearby. Means under gaussians of growing width, each taken as far as the one before found nothing:
 *
 *   mean_σ = (g_σ ∗ w·v) / (g_σ ∗ w)      its part = what is left · min(max((g_σ ∗ w − 0.02) / 0.1, 0), 1); the last takes the rest
 *
 * Of the screen v is its light over the fit's, so that shadows and folds beside the subject count; of the element its colour and
 * the products of its channels, which make a covariance. Source: normalised convolution [knutsson1993]; widths are choices.
 */
import type { FloatImage, Rgb } from '../../../core/index.js'
import { gaussianBlur } from '../../../kernels/index.js'
import { ELEMENT, SCREEN } from './regions.js'

/** σ, in units of `unitOf`. */
const SCREEN_WIDTHS = [2, 6, 20, 60]
const ELEMENT_WIDTHS = [4, 16, 64]
const NOTHING = 0.02
/** No second channel. */
const ONE = -1
const ENOUGH = 0.1
/** Light beside the fit's that is still the screen's. */
const GAINS = [0.3, 1.6] as const

/** Light of the screen at every pixel: the fit, as much brighter or darker as the screen is around it. */
export function screenAround(
  light: FloatImage,
  roots: FloatImage,
  regions: Uint8Array,
  unit: number,
): FloatImage {
  const gain = { region: light.region, data: new Float32Array(light.data.length) }
  for (let p = 0; p < regions.length; p++) {
    if (regions[p] !== SCREEN) continue
    for (let i = 4 * p; i < 4 * p + 3; i++)
      gain.data[i] = (light.data[i] as number) / Math.max((roots.data[i] as number) ** 2, 1e-4)
    gain.data[4 * p + 3] = 1
  }
  const near = nearby(
    gain,
    SCREEN_WIDTHS.map((w) => w * unit),
    [1, 1, 1],
  )
  const [least, most] = GAINS
  for (let p = 0; p < regions.length; p++) {
    for (let i = 4 * p; i < 4 * p + 3; i++)
      near.data[i] = (roots.data[i] as number) ** 2 * Math.min(Math.max(near.data[i] as number, least), most)
  }
  return near
}

/** Colours of the element around: means of R, G, B, and of RR, GG, BB, RG, RB, GB. */
export interface Colours {
  readonly mean: FloatImage
  readonly squares: FloatImage
  readonly products: FloatImage
}

export function elementAround(light: FloatImage, regions: Uint8Array, unit: number): Colours {
  const { region, data } = light
  const made = (pairs: readonly (readonly [number, number])[]): FloatImage => {
    const out = { region, data: new Float32Array(data.length) }
    for (let p = 0; p < regions.length; p++) {
      if (regions[p] !== ELEMENT) continue
      const i = 4 * p
      pairs.forEach(([a, b], k) => {
        out.data[i + k] = data[i + a]! * (b === ONE ? 1 : data[i + b]!)
      })
      out.data[i + 3] = 1
    }
    return nearby(
      out,
      ELEMENT_WIDTHS.map((w) => w * unit),
      undefined,
    )
  }
  return {
    mean: made([
      [0, ONE],
      [1, ONE],
      [2, ONE],
    ]),
    squares: made([
      [0, 0],
      [1, 1],
      [2, 2],
    ]),
    products: made([
      [0, 1],
      [0, 2],
      [1, 2],
    ]),
  }
}

/** @param weighted values times a weight, and the weight in place of alpha @param else_ where nothing is near; undefined takes the last mean */
function nearby(weighted: FloatImage, widths: readonly number[], else_: Rgb | undefined): FloatImage {
  const { region } = weighted
  const out = { region, data: new Float32Array(weighted.data.length) }
  const left = new Float32Array(region.width * region.height).fill(1)
  widths.forEach((width, k) => {
    const { data } = gaussianBlur(weighted, width, region)
    const last = k === widths.length - 1 && else_ === undefined
    for (let p = 0; p < left.length; p++) {
      const rest = left[p] as number
      const weight = data[4 * p + 3] as number
      if (rest <= 0) continue
      const part = last ? rest : rest * Math.min(Math.max((weight - NOTHING) / ENOUGH, 0), 1)
      if (part === 0) continue
      for (let i = 4 * p; i < 4 * p + 3; i++)
        out.data[i] = (out.data[i] as number) + (part * (data[i] as number)) / Math.max(weight, 1e-6)
      left[p] = rest - part
    }
  })
  if (else_ === undefined) return out
  for (let p = 0; p < left.length; p++)
    for (const c of [0, 1, 2] as const)
      out.data[4 * p + c] = (out.data[4 * p + c] as number) + (left[p] as number) * else_[c]
  return out
}
