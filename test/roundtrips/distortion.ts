/** Distortion of straight lines before photographs: k1 of either sign, its size even on a logarithmic scale. */
import { measureDistortion } from '../../src/chain/lens/distortion/measure.js'
import { told } from '../../src/core/index.js'
import { chance } from '../worlds/chance.js'
import { filmed } from './film.js'
import { linedFrame } from './lined.js'
import type { Photograph } from './photographs.js'
import type { Trip } from './row.js'

export const DISTORTION_LIMIT = 0.02
/** A barrel of more draws nothing in the corners of 16:9: r·(1 − k·r²) does not reach there. */
const [SMALLEST, BARREL, PINCUSHION] = [0.01, 0.034, 0.12]

export function distortionTrip(pictures: readonly Photograph[], draw: number): Trip {
  const photo = pictures[Math.floor(chance(21, draw) * pictures.length)]!
  const barrel = chance(21, draw, 2) < 0.5
  const size = SMALLEST * ((barrel ? BARREL : PINCUSHION) / SMALLEST) ** chance(21, draw, 1)
  const truth = barrel ? -size : size
  const seen = filmed(linedFrame(photo, [truth, 0], 5000 + draw), 7000 + draw)
  const { distortion } = measureDistortion([{ frame: 0, picture: codes(seen) }])
  return {
    truth,
    reading: told(distortion) ? { ...distortion, value: distortion.value.terms[0]! } : distortion,
  }
}

/** Lightness as a file of 8 bits has it. */
function codes({ region: { width, height }, data }: ReturnType<typeof filmed>) {
  const encode = (v: number) => (v <= 0.0031308 ? 12.92 * v : 1.055 * v ** (1 / 2.4) - 0.055)
  const values = Float32Array.from({ length: width * height }, (_, p) => {
    const [r, g, b] = [data[4 * p]!, data[4 * p + 1]!, data[4 * p + 2]!].map(encode) as [
      number,
      number,
      number,
    ]
    return Math.round(255 * (0.2126 * r + 0.7152 * g + 0.0722 * b))
  })
  return { width, height, values }
}
