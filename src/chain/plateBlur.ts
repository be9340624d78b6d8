/**
 * A blur of the plate itself, where it is asked for: near things over far ones, as `kernels/layered` says.
 *
 * With its light its grain is blurred. What is left of a pixel's own is the sum of the squares of its shape's shares (of grain without
 * correlation); its root goes with the light where alpha would, so that a pixel of which two blurs meet holds the mean of theirs. The
 * rest is topped up. Source: variances of independent noises add.
 *
 * What lies beyond the frame's border is not known, and would have come into a blurred picture: the picture mirrored at its border
 * stands for it, with its radii (common practice).
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
  rawImage,
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
  const seen = plateBlurReach(blur).needs(part)
  const light = mirrored(curved(unpack(plate, from, intersect(seen, frame)), decode), frame, seen)
  const { region, data } = light
  const across = placesIn(region.x, region.width, frame.x, frame.width)
  const down = placesIn(region.y, region.height, frame.y, frame.height)
  let i = 3
  for (const y of down)
    for (const x of across) {
      data[i] = Math.sqrt(noiseLeft(Math.abs(field.at(x, y))))
      i += 4
    }
  const at = (x: number, y: number) =>
    field.at(inside(x, frame.x, frame.width), inside(y, frame.y, frame.height))
  return blurByField(light, { most: field.most, at }, aperture, frame, part)
}

/** Where a place along a line stands once it is mirrored at the line's ends. */
function inside(at: number, first: number, count: number): number {
  const there = at - first
  if (there >= 0 && there < count) return at
  const i = ((there % (2 * count)) + 2 * count) % (2 * count)
  return first + Math.min(i, 2 * count - 1 - i)
}

function placesIn(from: number, many: number, first: number, count: number): number[] {
  return Array.from({ length: many }, (_, i) => inside(from + i, first, count))
}

/** The picture over all of a region, beyond the frame as its mirror; it holds what is mirrored. */
function mirrored(light: FloatImage, frame: Region, region: Region): FloatImage {
  const from = light.region
  if (from.width === region.width && from.height === region.height) return light
  const out = rawImage(region)
  const across = placesIn(region.x, region.width, frame.x, frame.width)
  placesIn(region.y, region.height, frame.y, frame.height).forEach((y, row) => {
    across.forEach((x, column) => {
      const at = 4 * ((y - from.y) * from.width + x - from.x)
      const to = 4 * (row * region.width + column)
      for (let c = 0; c < 3; c++) out.data[to + c] = light.data[at + c] as number
    })
  })
  return out
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
