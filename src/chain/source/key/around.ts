/**
 * What stands around a pixel that must be asked: the screen's light there, and the element's colours, off what is surely one or
 * the other nearby. Means under gaussians of growing width, each taken as far as the one before found nothing:
 *
 *   mean_σ = (g_σ ∗ w·v) / (g_σ ∗ w)      its part = what is left · min(max((g_σ ∗ w − 0.02) / 0.1, 0), 1); the last takes the rest
 *
 * Of the screen v is its light over the fit's, so that shadows and folds beside the subject count; of the element its colour and
 * the products of its channels, which make a covariance. Source: normalised convolution [knutsson1993]; widths are choices.
 */
import type { FloatImage, Region } from '../../../core/index.js'
import { gaussianBlur } from '../../../kernels/index.js'
import { ASKED, ELEMENT, SCREEN } from './regions.js'

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
  for (let p = 0, i = 0; p < regions.length; p++, i += 4) {
    if (regions[p] !== SCREEN) continue
    for (let k = i; k < i + 3; k++) gain.data[k] = light.data[k]! / Math.max(roots.data[k]! ** 2, 1e-4)
    gain.data[i + 3] = 1
  }
  const left = new Float32Array(regions.length).fill(1)
  const near = nearby(
    gain,
    SCREEN_WIDTHS.map((w) => w * unit),
    left,
  )
  const [least, most] = GAINS
  for (let p = 0, i = 0; p < regions.length; p++, i += 4)
    for (let k = i; k < i + 3; k++)
      near.data[k] = roots.data[k]! ** 2 * Math.min(Math.max(near.data[k]! + left[p]!, least), most)
  return near
}

/** Colours of the element around: means of R, G, B, and of RR, GG, BB, RG, RB, GB. */
export interface Colours {
  readonly mean: FloatImage
  readonly squares: FloatImage
  readonly products: FloatImage
}

/** Where something is asked; the last width takes what the others left. */
export function elementAround(light: FloatImage, regions: Uint8Array, unit: number): Colours {
  const { region, data } = light
  const widths = ELEMENT_WIDTHS.map((w) => w * unit)
  const made = (pairs: readonly (readonly [number, number])[]): FloatImage => {
    const out = { region, data: new Float32Array(data.length) }
    pairs.forEach(([a, b], k) => {
      for (let p = 0, i = 0; p < regions.length; p++, i += 4)
        if (regions[p] === ELEMENT) out.data[i + k] = data[i + a]! * (b === ONE ? 1 : data[i + b]!)
    })
    const left = new Float32Array(regions.length)
    for (let p = 0; p < regions.length; p++) {
      if (regions[p] === ELEMENT) out.data[4 * p + 3] = 1
      if (regions[p] === ASKED) left[p] = 1
    }
    return nearby(out, widths, left, true)
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

/**
 * @param weighted values times a weight, and the weight in place of alpha
 * @param left part of each pixel that is asked for, 1 or 0; what no width found stays in it
 * @param all the last width takes the rest
 */
function nearby(
  weighted: FloatImage,
  widths: readonly number[],
  left: Float32Array,
  all = false,
): FloatImage {
  const { width } = weighted.region
  const out = { region: weighted.region, data: new Float32Array(weighted.data.length) }
  widths.forEach((sigma, k) => {
    const region = boxOf(left, width)
    if (region === undefined) return
    const { data } = gaussianBlur(weighted, sigma, region)
    const last = all && k === widths.length - 1
    for (let y = 0, i = 0; y < region.height; y++)
      for (let x = 0, p = (region.y + y) * width + region.x; x < region.width; x++, p++, i += 4) {
        const rest = left[p]!
        if (rest <= 0) continue
        const weight = data[i + 3]!
        const part = last ? rest : rest * Math.min(Math.max((weight - NOTHING) / ENOUGH, 0), 1)
        if (part === 0) continue
        const by = Math.max(weight, 1e-6)
        for (let c = 0; c < 3; c++) out.data[4 * p + c] = out.data[4 * p + c]! + (part * data[i + c]!) / by
        left[p] = rest - part
      }
  })
  return out
}

/** Around all that is above 0. */
function boxOf(left: Float32Array, width: number): Region | undefined {
  let [x0, x1, y0, y1] = [width, -1, -1, -1]
  for (let p = 0, y = 0; p < left.length; y++)
    for (let x = 0; x < width; x++, p++) {
      if (left[p]! <= 0) continue
      if (x < x0) x0 = x
      if (x > x1) x1 = x
      if (y0 < 0) y0 = y
      y1 = y
    }
  return x1 < 0 ? undefined : { x: x0, y: y0, width: x1 - x0 + 1, height: y1 - y0 + 1 }
}
