/**
 * The screen behind a keyed element: one colour, unevenly lit.
 *
 *   √B(x, y) = √P(x, y) · (c₀ + c₁u + c₂v + c₃u² + c₄uv + c₅v²)     for red, green and blue
 *
 *   u, v  from the middle, 1 at half the width      P  light of a clean plate: the screen filmed alone; 1 where there is none
 *
 * Of the root of its light, in which a camera's noise is nearly even over levels and shares of a lamp's falloff add up. What the six
 * terms miss (folds, shadows) is read beside the subject itself: `key/around.ts`.
 *
 * Source: second-order falloff of light on a wall: common practice.
 */
import type { FloatImage, Rgb } from '../../../core/index.js'

export const TERMS = 6
/** Of √light: below it a clean plate says nothing of a gain. */
const LEAST_ROOT = 0.05

export interface Screen {
  readonly width: number
  readonly height: number
  /** Six for each of red, green and blue. */
  readonly terms: readonly [readonly number[], readonly number[], readonly number[]]
  /** σ of what is left of √light on the screen: noise, weave, a codec. */
  readonly noise: Rgb
}

/** Values of the six terms at a pixel, into `out`. */
export function termsAt(
  { width, height }: Pick<Screen, 'width' | 'height'>,
  x: number,
  y: number,
  out: Float64Array,
): Float64Array {
  const u = (x + 0.5 - width / 2) / (width / 2)
  const v = (y + 0.5 - height / 2) / (width / 2)
  out[0] = 1
  out[1] = u
  out[2] = v
  out[3] = u * u
  out[4] = u * v
  out[5] = v * v
  return out
}

/** Roots of a clean plate's light: three values a pixel and a 1, none below LEAST_ROOT. */
export function plateRoots({ region, data }: FloatImage): FloatImage {
  return { region, data: data.map((v) => Math.max(Math.sqrt(Math.max(v, 0)), LEAST_ROOT)) }
}

/**
 * Root of the screen's light at every pixel of the picture; below 0 is held to 0. Three values a pixel and a 1.
 *
 * @param clean roots of the clean plate that the screen was fitted with
 */
export function screenRoots(screen: Screen, clean?: FloatImage): FloatImage {
  const { width, height, terms } = screen
  const data = new Float32Array(4 * width * height)
  const at = new Float64Array(TERMS)
  for (let y = 0, i = 0; y < height; y++) {
    for (let x = 0; x < width; x++, i += 4) {
      termsAt(screen, x, y, at)
      for (let c = 0; c < 3; c++) {
        let v = 0
        for (let k = 0; k < TERMS; k++) v += ((terms[c] as number[])[k] as number) * (at[k] as number)
        data[i + c] = Math.max(v, 0) * (clean === undefined ? 1 : (clean.data[i + c] as number))
      }
      data[i + 3] = 1
    }
  }
  return { region: { x: 0, y: 0, width, height }, data }
}
