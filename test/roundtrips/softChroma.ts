/** Chroma softened in codes, in files of full and of halved samples. */
import { measureSoftChroma } from '../../src/chain/sensor/softChroma/measure.js'
import { told, uniform } from '../../src/core/index.js'
import { cropImage, discBlur, discReach } from '../../src/kernels/index.js'
import { normal } from '../worlds/chance.js'
import { encode } from './film.js'
import { mirrored, type Photograph } from './photographs.js'
import type { Trip } from './row.js'
import { gaussian } from './sharpening.js'

export const CHROMA_LIMIT = 0.1
const [KR, KG, KB] = [0.2126, 0.7152, 0.0722] as const
/** Variance of two samples' mean, 1/4 px², and of a line between them at a quarter and three quarters, 3/4: along each axis, by hand. */
const HALVED = 1

/** The photographs are the frames of one plate; odd draws are 4:2:0. A third is sharpened, of which the meter knows. */
export function softChromaTrip(pictures: readonly Photograph[], draw: number): Trip {
  const u = (k: number) => uniform(22, draw, k, 0, 0)
  const halved = draw % 2 === 1
  const [blur, soft, noise] = [0.6 + u(1), 0.6 + 2 * u(2), 0.7 + u(3)]
  const sharp = u(4) < 1 / 3 ? { amount: 0.5 + u(5), radius: 1 } : undefined
  const samples = pictures.map(({ image }, frame) => {
    const [width, height] = [image.region.width & ~1, image.region.height & ~1]
    const region = { x: 0, y: 0, width, height }
    const lit = cropImage(discBlur(mirrored(cropImage(image, region), discReach(blur)), blur), region)
    const n = width * height
    const planes = [new Float64Array(n), new Float64Array(n), new Float64Array(n)] as const
    for (let p = 0; p < n; p++) {
      const [r, g, b] = [0, 1, 2].map((c) => encode(Math.max(lit.data[4 * p + c]!, 0))) as [
        number,
        number,
        number,
      ]
      const y = KR * r + KG * g + KB * b
      planes[0][p] = y
      planes[1][p] = (b - y) / (2 - 2 * KB)
      planes[2][p] = (r - y) / (2 - 2 * KR)
    }
    const low = sharp && gaussian(planes[0], width, height, sharp.radius)
    const y = planes[0].map((v, p) => (sharp && low ? v + sharp.amount * (v - low[p]!) : v))
    const noisy = (of: Float64Array, c: number) =>
      of.map((v, p) => Math.round(255 * v + noise * normal(9000 + 31 * draw + 3 * frame + c, p)) / 255)
    const chroma = (k: 1 | 2) => {
      const plane = gaussian(planes[k], width, height, soft)
      return halved ? line(noisy(mean(plane, width), k), width, height) : noisy(plane, k)
    }
    const window = (values: Float64Array) => ({ width, height, values })
    return { frame, luma: window(noisy(y, 0)), cb: window(chroma(1)), cr: window(chroma(2)) }
  })
  const reading = measureSoftChroma(samples, sharp)
  return {
    truth: Math.hypot(soft, halved ? Math.sqrt(HALVED) : 0),
    reading: told(reading) ? { ...reading, value: reading.value.blur } : reading,
  }
}

/** Of two by two pixels. */
function mean(v: Float64Array, width: number): Float64Array {
  const w = width / 2
  return Float64Array.from({ length: v.length / 4 }, (_, q) => {
    const p = 2 * (q % w) + 2 * Math.floor(q / w) * width
    return (v[p]! + v[p + 1]! + v[p + width]! + v[p + width + 1]!) / 4
  })
}

/** By lines between samples that sit in the middle of their four pixels. */
function line(v: Float64Array, width: number, height: number): Float64Array {
  const [w, h] = [width / 2, height / 2]
  return Float64Array.from({ length: width * height }, (_, p) => {
    const [s, t] = [Math.max(((p % width) - 0.5) / 2, 0), Math.max((Math.floor(p / width) - 0.5) / 2, 0)]
    const [i, j] = [Math.floor(s), Math.floor(t)]
    const at = (k: number, l: number) => v[Math.min(l, h - 1) * w + Math.min(k, w - 1)]!
    const row = (l: number) => at(i, l) + (s - i) * (at(i + 1, l) - at(i, l))
    return row(j) + (t - j) * (row(j + 1) - row(j))
  })
}
