/**
 * A blur of the plate itself, where it is asked for: near things over far ones, as `kernels/layered` says.
 *
 * With its light its grain is blurred. What is left of a pixel's own is the sum of the squares of its shape's shares (of grain without
 * correlation); its root goes with the light where alpha would, so that a pixel of which two blurs meet holds the mean of theirs. The
 * rest is topped up. Source: variances of independent noises add.
 */
import {
  type FloatImage,
  intersect,
  isEmpty,
  type NativeFrame,
  type Reach,
  type Region,
} from '../core/index.js'
import {
  type Aperture,
  type Coding,
  type CurveTables,
  curved,
  type Ground,
  noiseLeft,
  type RadiusField,
  unpack,
} from '../kernels/index.js'
import { blurByField, fieldReach } from './lens/defocus/field.js'

/** Differences of light below this share of it, and of this itself, are those of rounding. */
const SAME = 1e-5

export interface PlateBlur {
  /** Radii all over the plate; 0 where nothing is asked for. */
  readonly field: RadiusField
  /** Where they may be others. */
  readonly region: Region
  readonly aperture: Aperture | undefined
}

export function plateBlurReach({ field, aperture }: PlateBlur): Reach {
  return fieldReach(field, aperture)
}

/** Where the plate may change. */
export function blurredRegion(blur: PlateBlur, frame: Region): Region {
  return isEmpty(blur.region) ? blur.region : intersect(plateBlurReach(blur).touches(blur.region), frame)
}

/** The plate's light in a part of the picture, with the root of the share of its grain's variance that is left in place of alpha. */
export function blurPlate(
  plate: NativeFrame,
  from: Coding,
  decode: CurveTables,
  blur: PlateBlur,
  frame: Region,
  part: Region,
): FloatImage {
  const { field, aperture } = blur
  const light = curved(unpack(plate, from, intersect(plateBlurReach(blur).needs(part), frame)), decode)
  const { region, data } = light
  for (let y = 0, i = 3; y < region.height; y++)
    for (let x = 0; x < region.width; x++, i += 4)
      data[i] = Math.sqrt(noiseLeft(Math.abs(field.at(region.x + x, region.y + y))))
  const inFrame = {
    most: field.most,
    at: (x: number, y: number) =>
      x < frame.x || y < frame.y || x >= frame.x + frame.width || y >= frame.y + frame.height
        ? Number.NaN
        : field.at(x, y),
  }
  return blurByField(light, inFrame, aperture, frame, part)
}

/** In place: the blurred light where it is another one. What is left of the plate counts by its grain's share. */
export function layBlurred({ light, variance, keep, touched }: Ground, blurred: FloatImage): void {
  const here = intersect(light.region, blurred.region)
  for (let y = here.y; y < here.y + here.height; y++) {
    let p = (y - light.region.y) * light.region.width + here.x - light.region.x
    let i = 4 * ((y - blurred.region.y) * blurred.region.width + here.x - blurred.region.x)
    for (let x = 0; x < here.width; x++, p++, i += 4) {
      const own = 4 * p
      const differs = (c: number) => {
        const [now, before] = [blurred.data[i + c] as number, light.data[own + c] as number]
        return Math.abs(now - before) > SAME * (Math.abs(before) + SAME)
      }
      if (!(differs(0) || differs(1) || differs(2))) continue
      const left = blurred.data[i + 3] as number
      touched[p] = 1
      keep[p] = (keep[p] as number) * left
      for (let c = 0; c < 3; c++) {
        light.data[own + c] = blurred.data[i + c] as number
        variance[own + c] = (variance[own + c] as number) * left * left
      }
    }
  }
}
