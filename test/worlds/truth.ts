/** The true parameters of a world: what a perfect fit would find, in the program's own terms. */

import { discRadius, transmittance } from './camera.js'
import { bt709Back } from './curves.js'
import {
  elementFrames,
  elementTime,
  fireFloor,
  smokeFileFrame,
  smokeFileSize,
  smokeLinear,
} from './effect/files.js'
import { fireCard, type Ready, smokeCard } from './effect/in-scene.js'
import { smokePicture } from './effect/smoke-look.js'
import { airlight } from './scene/sky.js'
import { plateUnits } from './setting.js'

export interface Truth {
  readonly smoke: {
    readonly transmittance: number
    readonly airlight: number[]
    readonly blurRadiusPx: number
    /** Linear colour of the smoke itself, before the air: 3rd, 50th, 97th percentile where it covers more than half. */
    readonly black: number[]
    readonly middle: number[]
    readonly white: number[]
    readonly elementBlack: number[]
    readonly elementMiddle: number[]
    readonly elementWhite: number[]
    readonly elementVariance: number[]
  }
  readonly fire: {
    readonly transmittance: number
    readonly airlight: number[]
    readonly blurRadiusPx: number
    /** Stops from the file's linear light (floor taken off) to the plate's, luminance kept by the change of temperature. */
    readonly exposureStops: number
    readonly temperatureK: number
    readonly elementTemperatureK: number
    readonly floor: number[]
    readonly floorNoise: number[]
    readonly awayM: number
    readonly elementVariance: number[]
  }
  readonly grain: {
    readonly levels: number[]
    readonly variance: number[]
    readonly correlation: number[]
    readonly mix: number[]
  }
}

export function findTruth(ready: Ready): Truth {
  const { s } = ready
  const sc = smokeCard(s)
  const fc = fireCard(s)
  const air = (card: typeof sc) => {
    const out = new Float64Array(3)
    airlight(s, (card.left + card.widthM / 2) / card.distanceM, 1, out)
    return [...out]
  }
  const inPlate: number[][] = [[], [], []]
  const inFile: number[][] = [[], [], []]
  const count = elementFrames(s)
  for (const frame of [0, Math.floor(count / 2), count - 1]) {
    const p = smokePicture(ready.smoke, elementTime(s, frame), s.smoke.depth, s.smoke.albedo, ready.light)
    for (let i = 0; i < p.tau.length; i += 3) {
      if (p.tau[i] < 0.7) continue
      for (let c = 0; c < 3; c++) inPlate[c].push(p.colour[3 * i + c])
    }
    const file = smokeFileFrame(ready, frame)
    const { width, height } = smokeFileSize(s)
    for (let i = 0; i < width * height; i += 7) {
      if (file[4 * i + 3] < 0.5) continue
      for (let c = 0; c < 3; c++) inFile[c].push(smokeLinear(file[4 * i + c]))
    }
  }
  const at = (lists: number[][], q: number) =>
    lists.map((l) => {
      const sorted = Float64Array.from(l).sort()
      return sorted[Math.floor(q * (sorted.length - 1))] ?? 0
    })
  const elementMiddle = at(inFile, 0.5)
  const grainAt = (l: number) => {
    // Slope of the sRGB inverse at the middle turns code grain into linear variance.
    const h = 0.002
    const code = l <= 0.0031308 ? 12.92 * l : 1.055 * l ** (1 / 2.4) - 0.055
    const slope = (smokeLinear(code + h) - smokeLinear(code - h)) / (2 * h)
    return (s.smokeFile.grain * slope) ** 2
  }
  const floor = fireFloor(s)
  const floorSlope = s.fireFile.floor.map((v) => {
    const signal = (v * 255 - 16) / 219
    return (bt709Back(signal + 0.001) - bt709Back(signal - 0.001)) / 0.002
  })
  const levels = [0.005, 0.02, 0.06, 0.15, 0.3, 0.6, 0.9]
  const variance = [0, 1, 2].flatMap(() => levels.map((l) => s.noise.photon * l + s.noise.read))
  const lag = (c: number) => [(2 * c) / (1 + 2 * c * c), (c * c) / (1 + 2 * c * c)]
  const shared = s.noise.shared
  const blend = (own: number) => lag(0.2).map((v, k) => shared * v + (1 - shared) * lag(own)[k])
  const correlation = [0.3, 0.16, 0.3].flatMap((own) => [...blend(own), ...blend(own)])
  return {
    smoke: {
      transmittance: transmittance(s, sc.distanceM),
      airlight: air(sc),
      blurRadiusPx: discRadius(s, sc.distanceM),
      black: at(inPlate, 0.03),
      middle: at(inPlate, 0.5),
      white: at(inPlate, 0.97),
      elementBlack: at(inFile, 0.03),
      elementMiddle,
      elementWhite: at(inFile, 0.97),
      elementVariance: elementMiddle.map(grainAt),
    },
    fire: {
      transmittance: transmittance(s, fc.distanceM),
      airlight: air(fc),
      blurRadiusPx: discRadius(s, fc.distanceM),
      exposureStops: Math.log2(plateUnits(s, s.fire.luminance) / s.fire.fileLevel),
      temperatureK: s.fire.temperature,
      elementTemperatureK: s.fire.fileTemperature,
      floor,
      floorNoise: floorSlope.map((k) => k * s.fireFile.grain),
      awayM: 0,
      elementVariance: floorSlope.map((k) => (k * s.fireFile.grain) ** 2),
    },
    grain: { levels, variance, correlation, mix: [shared, shared, shared] },
  }
}
