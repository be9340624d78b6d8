/** Luma sharpened in codes by an unsharp mask, as a camera does after its curve. */
import { measureSharpening } from '../../src/chain/sensor/sharpening/measure.js'
import { amountFor, swingOf } from '../../src/chain/sensor/sharpening/model.js'
import { type FloatImage, told, uniform } from '../../src/core/index.js'
import { cropImage, discBlur, discReach } from '../../src/kernels/index.js'
import { normal } from '../worlds/chance.js'
import { decode, encode } from './film.js'
import { mirrored, type Photograph, shrunk } from './photographs.js'
import type { Trip } from './row.js'

export const OVERSHOOT_LIMIT = 0.1
/** No camera's amount is greater. */
export const MOST = 3
const LUMA = [0.2126, 0.7152, 0.0722] as const

export interface SharpDraw {
  readonly luma: Float64Array
  readonly width: number
  readonly height: number
}

export interface Camera {
  /** Radius of the lens's disc, px. */
  readonly blur: number
  readonly amount: number
  readonly radius: number
  /** Standard deviation, 8-bit codes. */
  readonly noise: number
}

/**
 * A photograph out of focus, in codes, sharpened, with noise, in eight bits.
 *
 * @param image twice as large as what the camera makes: a lens blurs before pixels do, and a disc of whole pixels, as small as these are, is none
 */
export function sharpened(
  image: FloatImage,
  { blur, amount, radius, noise }: Camera,
  seed: number,
): SharpDraw {
  const by = discReach(2 * blur)
  const own = { x: 0, y: 0, width: image.region.width & ~1, height: image.region.height & ~1 }
  const soft = shrunk(cropImage(discBlur(mirrored(image, by), 2 * blur), own), 2)
  const { width, height } = soft.region
  const y = Float64Array.from({ length: width * height }, (_, p) =>
    LUMA.reduce((sum, k, c) => sum + k * encode(Math.max(soft.data[4 * p + c]!, 0)), 0),
  )
  const low = gaussian(y, width, height, radius)
  const luma = y.map((v, p) => {
    const code = 255 * (v + amount * (v - low[p]!)) + noise * normal(seed, p)
    return Math.min(255, Math.max(0, Math.round(code))) / 255
  })
  return { luma, width, height }
}

/** By its definition, held at the border. */
export function gaussian(v: Float64Array, width: number, height: number, sigma: number): Float64Array {
  const reach = Math.ceil(4 * sigma)
  const taps = Array.from({ length: 2 * reach + 1 }, (_, i) =>
    Math.exp(-((i - reach) ** 2) / (2 * sigma ** 2)),
  )
  const sum = taps.reduce((a, b) => a + b, 0)
  const pass = (from: Float64Array, dx: number, dy: number) =>
    from.map((_, p) => {
      const [x, y] = [p % width, Math.floor(p / width)]
      let s = 0
      for (let i = -reach; i <= reach; i++) {
        const u = Math.min(Math.max(x + dx * i, 0), width - 1)
        const w = Math.min(Math.max(y + dy * i, 0), height - 1)
        s += taps[i + reach]! * from[w * width + u]!
      }
      return s / sum
    })
  return pass(pass(v, 1, 0), 0, 1)
}

/**
 * The photographs are the frames of one plate, out of focus by 0.8 to 2.2 px: what sharpened them in their own day lies below that. Told and
 * true swing are of an edge as wide as the meter says that the sharp ones were, 0.04 to 0.18 of its step.
 *
 * @param pictures shrunk twice @param none nothing is sharpened
 */
export function sharpeningTrip(pictures: readonly Photograph[], draw: number, none = false): Trip {
  const u = (k: number) => uniform(21, draw, k, 0, 0)
  const blur = 0.8 + 1.4 * u(2)
  const radius = 0.8 * (1.8 / 0.8) ** u(4)
  const width = 2.5631 * Math.hypot(0.5, blur / 2)
  const amount = none ? 0 : Math.min(amountFor({ overshoot: 0.04 + 0.14 * u(3), width, radius }), MOST)
  const noise = 0.7 + 1.3 * u(5)
  const samples = pictures.map(({ image }, frame) => {
    const { luma, width, height } = sharpened(
      image,
      { blur, amount, radius, noise },
      7000 + pictures.length * draw + frame,
    )
    return { frame, luma: { width, height, values: luma } }
  })
  const reading = measureSharpening(samples, { decode, encode })
  if (!told(reading)) return { truth: amount, reading }
  const { overshoot, width: own } = reading.value
  return { truth: swingOf(amount, radius, own), reading: { ...reading, value: overshoot } }
}
