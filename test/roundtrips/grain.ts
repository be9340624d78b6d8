/**
 * Noise of a known law put into photographs in light, before the curve and eight bits, and measured again at the tone of some place.
 *
 *   σ²(L) = a·L + b      σ from 0.7 to 4 codes at white
 *
 * Two pairs of frames of one view. What is true on the 4:2:0 path is what the path makes of noise on an even field of that colour.
 */
import { type GrainMeasure, measureGrain } from '../../src/chain/sensor/grain/measure.js'
import { measureOwnGrain } from '../../src/chain/sensor/grain/measureOwn.js'
import { noiseAt } from '../../src/chain/sensor/grain/noiseAt.js'
import { roundingOf } from '../../src/chain/sensor/grain/rounding.js'
import { type FloatImage, type Reading, type Rgb, told } from '../../src/core/index.js'
import { chance } from '../worlds/chance.js'
import type { Photograph } from './photographs.js'
import type { Trip } from './row.js'
import { type Camera, camera, type Path } from './sensor.js'

interface Draw {
  readonly cam: Camera
  readonly scene: FloatImage
  readonly found: Reading<GrainMeasure>
}

function measured(pictures: readonly Photograph[], draw: number, path: Path): Draw {
  const { image } = pictures[Math.floor(chance(31, draw) * pictures.length)]!
  const cam = camera(draw, path)
  const frame = (i: number) => cam.film(image, 10 * draw + i)
  const samples = [0, 2].map((i) => ({ frame: i, image: frame(i), after: frame(i + 1) }))
  return { cam, scene: image, found: measureGrain(samples, 1, roundingOf(cam.layout, cam.encoding)) }
}

/** σ of one channel at the level of a place whose noise the code's ends do not cut off. */
export function sigmaTrip(pictures: readonly Photograph[], draw: number, path: Path): Trip {
  const { cam, scene, found } = measured(pictures, draw, path)
  const c = Math.floor(3 * chance(34, draw))
  const colour = toneOf(scene, cam, draw)
  const truth =
    path === 'rgb' ? Math.sqrt(cam.a * colour[c]! + cam.b) : deviation(cam.even(colour, 7000 + draw), c)
  const reading: Reading<number> = told(found) ? noiseAt(found.value, c, colour[c]!) : found
  return { truth, reading }
}

/** σ of green of an element that is a photograph through and through, two frames of it: whatever its levels, the middle one's. */
export function ownTrip(pictures: readonly Photograph[], draw: number): Trip {
  const { image } = pictures[Math.floor(chance(36, draw) * pictures.length)]!
  const cam = camera(draw, 'rgb')
  const found = measureOwnGrain(
    [0, 1].map((frame) => ({ frame, image: cam.film(image, 10 * draw + frame), after: undefined })),
    1,
  )
  const greens = [...image.data.filter((_, i) => i % 4 === 1)].sort((a, b) => a - b)
  const truth = Math.sqrt(cam.a * greens[greens.length >> 1]! + cam.b)
  if (!told(found)) return { truth, reading: found }
  const value = Math.sqrt(found.value[1])
  const { evidence } = found
  const spread = 'spread' in evidence && evidence.spread !== undefined ? evidence.spread / (2 * value) : 0
  return { truth, reading: { value, evidence: { ...evidence, spread } as typeof evidence } }
}

/** Correlation of a channel's noise with the next pixel's, mean of both axes. */
export function lagTrip(pictures: readonly Photograph[], draw: number): Trip {
  const { cam, found } = measured(pictures, draw, 'rgb')
  const c = Math.floor(3 * chance(34, draw))
  if (!told(found)) return { truth: cam.lag, reading: found }
  const { lags, lagSpread } = found.value
  const evidence = { ...found.evidence, spread: lagSpread[c]! } as typeof found.evidence
  return { truth: cam.lag, reading: { value: (lags[c]![0] + lags[c]![2]) / 2, evidence } }
}

export function toneOf({ data }: FloatImage, cam: Camera, draw: number): Rgb {
  for (let k = 0; ; k++) {
    const p = 4 * Math.floor((chance(35, draw, k) * data.length) / 4)
    const colour: Rgb = [data[p]!, data[p + 1]!, data[p + 2]!]
    if (colour.every((v) => v > 4 * Math.sqrt(cam.a * v + cam.b) && v + 4 * Math.sqrt(cam.a * v + cam.b) < 1))
      return colour
  }
}

function deviation(values: Float64Array, c: number): number {
  const own = values.filter((_, i) => i % 3 === c)
  const mean = own.reduce((s, v) => s + v, 0) / own.length
  return Math.sqrt(own.reduce((s, v) => s + (v - mean) ** 2, 0) / own.length)
}
