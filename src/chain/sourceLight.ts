/** Source link: a file's code values as premultiplied linear light in the plate's primaries. */
import {
  chained,
  type FloatImage,
  intersect,
  isEmpty,
  type NativeFrame,
  type PixelLayout,
  type Reach,
  type Region,
} from '../core/index.js'
import { applyMatrix, cropImage, newImage, unpack } from '../kernels/index.js'
import type { ElementSettings } from './element.js'
import { alphaReach, coverFromLight, toPremultiplied } from './source/alpha/apply.js'
import { ceilingReach, rebuildCores } from './source/ceiling/apply.js'
import { finiteReach, NOTHING, type Replaced, replaceNotFinite } from './source/finite.js'
import { floorReach, removeFloor } from './source/floor/apply.js'

export interface SourceLight {
  readonly image: FloatImage
  /** What the samples looked at held that is no light. */
  readonly replaced: Replaced
}

/**
 * The part of an element's frame that is asked for; all of it when nothing is said. `clean` false leaves out what mends
 * the file: its floor and its clipped cores.
 */
export function sourceLight(
  frame: NativeFrame,
  s: ElementSettings,
  clean: boolean,
  part: Region = pictureOf(frame),
): SourceLight {
  if (isEmpty(part)) return { image: newImage(part), replaced: NOTHING }
  const region = intersect(sourceReach(frame.layout, s, clean).needs(part), pictureOf(frame))
  const image = unpack(frame, s.coding, region)
  const replaced = frame.layout.float ? replaceNotFinite(image) : NOTHING
  toPremultiplied(image, s.alpha, s.decode)
  if (clean && s.ceiling !== undefined) rebuildCores(image, s.ceiling.level, s.ceiling.planck, s.ceiling.rise)
  if (s.toPlate !== undefined) applyMatrix(image, s.toPlate)
  if (clean && s.alpha === 'on-black') removeFloor(image, s.floor, s.floorNoise)
  if (s.alpha === 'on-black' && s.emits < 1) coverFromLight(image, s.coverage)
  return { image: cropImage(image, part), replaced }
}

/** The steps above in their order; a matrix looks at one pixel. */
function sourceReach(layout: PixelLayout, s: ElementSettings, clean: boolean): Reach {
  const mended = clean && s.alpha === 'on-black' ? [ceilingReach, floorReach(s.floor, s.floorNoise)] : []
  return chained(finiteReach(layout), alphaReach, ...mended)
}

/** All of a frame. */
export function pictureOf({ width, height }: NativeFrame): Region {
  return { x: 0, y: 0, width, height }
}
