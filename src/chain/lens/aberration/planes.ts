/**
 * A picture made ready to compare its colours' places: red, green and blue side by side, each softened the same way.
 *
 * Where a file holds chroma at half resolution, what its red is sharper by than its chroma is luma, the same in all channels: it would
 * draw every fringe narrower than it is. Luma is softened by what chroma lost along each halved direction, a variance of 1 px²: [1 4 6 4 1] / 16.
 * With sites between pixels that is 1/4 for the mean of two samples and 3/4 for the line between sites; with sites on pixels, 1/2 and 1/2.
 * What is left of a fringe, its sum across the edge, is whole. All of that holds in code values, where files are subsampled.
 *
 * Source: [bt709] for luma; the variances by hand.
 */
import type { FloatImage } from '../../../core/index.js'
import { gaussianBlur } from '../../../kernels/index.js'

/** Directions in which a file's chroma has half the samples. */
export interface Halved {
  readonly x: boolean
  readonly y: boolean
}

export interface Planes {
  readonly width: number
  readonly height: number
  readonly red: Float32Array
  readonly green: Float32Array
  readonly blue: Float32Array
}

const LUMA = [0.2126, 0.7152, 0.0722] as const

/** Luma, and red and blue less luma, of a picture in code values; alpha 1. */
export function opponents({ region, data }: FloatImage, halved: Halved): FloatImage {
  const out = new Float32Array(data.length)
  for (let i = 0; i < data.length; i += 4) {
    const luma = LUMA[0] * data[i]! + LUMA[1] * data[i + 1]! + LUMA[2] * data[i + 2]!
    out[i] = luma
    out[i + 1] = data[i]! - luma
    out[i + 2] = data[i + 2]! - luma
    out[i + 3] = 1
  }
  const { width, height } = region
  if (halved.x) soften(out, 4, 4 * width, width, height)
  if (halved.y) soften(out, 4 * width, 4, height, width)
  return { region, data: out }
}

/** Along lines of luma; two samples at each end stay. */
function soften(d: Float32Array, step: number, across: number, length: number, lines: number): void {
  for (let l = 0; l < lines; l++) {
    const from = l * across
    let far = d[from]!
    let near = d[from + step]!
    for (let k = 2, i = from + 2 * step; k < length - 2; k++, i += step) {
      const here = d[i]!
      d[i] = (far + d[i + 2 * step]! + 4 * (near + d[i + step]!) + 6 * here) / 16
      far = near
      near = here
    }
  }
}

/** Softened by a Gaussian of `sigma` px. */
export function softened(picture: FloatImage, sigma: number): Planes {
  const { width, height } = picture.region
  const { data } = gaussianBlur(picture, sigma, picture.region)
  const plane = () => new Float32Array(width * height)
  const [red, green, blue] = [plane(), plane(), plane()]
  for (let p = 0; p < red.length; p++) {
    const whole = 1 / data[4 * p + 3]!
    const luma = data[4 * p]! * whole
    const [r, b] = [data[4 * p + 1]! * whole, data[4 * p + 2]! * whole]
    red[p] = luma + r
    blue[p] = luma + b
    green[p] = luma - (LUMA[0] * r + LUMA[2] * b) / LUMA[1]
  }
  return { width, height, red, green, blue }
}
