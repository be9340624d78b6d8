/**
 * A painted plate with everything known: a hazy sky, paved ground with posts, a near wall (3 m) and a far one (65 m) of grey
 * and coloured panels from 0.02 to 0.65. The lens blurs all by a Gaussian of σ = 0.9 px; the grain is Poisson–Gaussian,
 * σ² = a · L + b, coarse (k = ½), alike in strength and independent in the three channels.
 */
import { grainField, uniforms } from './chance.js'
import type { Painted } from './files.js'

export const WIDTH = 432
export const HEIGHT = 240
export const FRAMES = 6
export const HORIZON = 90
/** Colour of the air over the horizon, and of the sky at the top. */
export const AIR = [0.36, 0.38, 0.42] as const
const ZENITH = [0.12, 0.2, 0.34] as const
export const VISIBILITY = 500
/** ln 50 · d / V [koschmieder1924]: 0.6 at this distance. */
export const FAR = (-Math.log(0.6) * VISIBILITY) / Math.log(50)
export const NEAR = 3
export const NEAR_WALL = { x: 272, y: 128, width: 148, height: 104 }
export const FAR_WALL = { x: 248, y: 52, width: 148, height: 48 }
export const LENS_SIGMA = 0.9
/** Grain: linear². */
export const GRAIN = { a: 2.5e-4, b: 3e-6, k: 0.5 }

export interface PlateFaults {
  readonly lensSigma?: number
  readonly grainK?: number
}

/** Frame by frame, RGB in light, with grain of this seed. */
export function plate(seed: number, faults: PlateFaults = {}): (frame: number) => Painted {
  const clean = blurred(scene(), faults.lensSigma ?? LENS_SIGMA)
  return (frame) => {
    const data = clean.slice()
    for (let c = 0; c < 3; c++) {
      const field = grainField(1 + seed * 1009 + frame * 31 + c, WIDTH, HEIGHT, faults.grainK ?? GRAIN.k)
      for (let p = 0; p < field.length; p++) {
        const light = clean[3 * p + c] as number
        data[3 * p + c] = light + Math.sqrt(GRAIN.a * light + GRAIN.b) * (field[p] as number)
      }
    }
    return { width: WIDTH, height: HEIGHT, channels: 3, data }
  }
}

function scene(): Float32Array {
  const data = new Float32Array(3 * WIDTH * HEIGHT)
  const put = (x: number, y: number, v: readonly number[]) => data.set(v, 3 * (y * WIDTH + x))
  const hazed = (v: readonly number[], away: number) => {
    const t = Math.exp((-Math.log(50) * away) / VISIBILITY)
    return v.map((j, c) => j * t + (AIR[c] as number) * (1 - t))
  }
  for (let y = 0; y < HEIGHT; y++) {
    for (let x = 0; x < WIDTH; x++) {
      const up = (HORIZON - y) / HORIZON
      if (y < HORIZON)
        put(
          x,
          y,
          AIR.map((a, c) => a + ((ZENITH[c] as number) - a) * up),
        )
      else put(x, y, hazed(paving(x, y), 300 / (y - HORIZON + 1)))
    }
  }
  panels(FAR_WALL, 12, 11, (x, y, v) => put(x, y, hazed(v, FAR)))
  for (const x0 of [24, 140, 232]) {
    for (let y = 70; y < 236; y++)
      for (let x = x0; x < x0 + 9; x++) put(x, y, hazed([0.015, 0.014, 0.013], 8))
  }
  panels(NEAR_WALL, 18, 5, (x, y, v) => put(x, y, hazed(v, NEAR)))
  return data
}

function paving(x: number, y: number): number[] {
  const row = Math.floor((y - HORIZON) / 30)
  const v = uniforms(77 + row * 131 + Math.floor((x + 13 * row) / 40))() ** 2
  const joint = (y - HORIZON) % 30 < 3 || (x + 13 * row) % 40 < 3
  return joint ? [0.03, 0.028, 0.025] : [0.08 + 0.3 * v, 0.078 + 0.29 * v, 0.072 + 0.27 * v]
}

/** Panels of even reflectance, 0.02 to 0.65, warm by a tenth of a stop or so: what a grey would look like in this light. */
function panels(
  r: { x: number; y: number; width: number; height: number },
  size: number,
  seed: number,
  put: (x: number, y: number, v: readonly number[]) => void,
): void {
  for (let y = 0; y < r.height; y++) {
    for (let x = 0; x < r.width; x++) {
      const v = 0.02 + 0.63 * uniforms(seed + 997 * Math.floor(x / size) + 31 * Math.floor(y / size))() ** 2
      put(r.x + x, r.y + y, [1.05 * v, v, 0.9 * v])
    }
  }
}

/** Gaussian of σ pixels over RGB, edges held. */
export function blurred(
  data: Float32Array,
  sigma: number,
  width = WIDTH,
  height = HEIGHT,
  channels = 3,
): Float32Array {
  const reach = Math.ceil(3.5 * sigma)
  const taps = Array.from({ length: 2 * reach + 1 }, (_, i) =>
    Math.exp(-((i - reach) ** 2) / (2 * sigma * sigma)),
  )
  const sum = taps.reduce((a, b) => a + b, 0)
  const pass = (from: Float32Array, dx: number, dy: number) => {
    const to = new Float32Array(from.length)
    for (let y = 0; y < height; y++) {
      for (let x = 0; x < width; x++) {
        taps.forEach((w, i) => {
          const u = Math.min(Math.max(x + dx * (i - reach), 0), width - 1)
          const v = Math.min(Math.max(y + dy * (i - reach), 0), height - 1)
          for (let c = 0; c < channels; c++)
            to[channels * (y * width + x) + c] =
              (to[channels * (y * width + x) + c] as number) +
              (w / sum) * (from[channels * (v * width + u) + c] as number)
        })
      }
    }
    return to
  }
  return sigma > 0 ? pass(pass(data, 1, 0), 0, 1) : data
}
