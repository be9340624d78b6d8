/**
 * The plate's region of one frame with every layer in it: cast light, over, grain, and back to code values.
 * Nothing outside the touched mask leaves with another value than it came with.
 */
import {
  align,
  cutFrame,
  EMPTY,
  grow,
  intersect,
  isEmpty,
  type NativeFrame,
  type PixelLayout,
  type Region,
  union,
} from '../core/index.js'
import { patchRegion } from '../kernels/index.js'
import { nullRender, sameSamples } from './display/deliver.js'
import { deliveryReach } from './display/reach.js'
import type { Sheet } from './element.js'
import { type ComposeSettings, layOver, within } from './layOver.js'
import { blurredRegion, plateBlurReach } from './plateBlur.js'
import { allFinite, finiteReach, NOTHING, type Replaced } from './source/finite.js'
import { mendFrame } from './source/mend.js'

export interface Composed {
  /** What the encoder gets of `window`. */
  readonly frame: NativeFrame
  /** The part of the picture that was made, its edges on the delivery's chroma sites or the picture's border. */
  readonly window: Region
  readonly touched: Region
  /** NaN and infinity found in the plate. */
  readonly replaced: Replaced
}

/** The part of the picture that is made for the wanted one, and the part that it is made from. */
export function partsFor(
  wanted: Region,
  plate: PixelLayout,
  s: ComposeSettings,
): { window: Region; part: Region } {
  const { layout } = s.delivery
  const window = intersect(align(wanted, 1 << layout.subX, 1 << layout.subY), s.frame)
  const reach = deliveryReach(plate, layout)
  const laid = grow(reach.needs(finiteReach(plate).needs(window)), s.codeReach)
  return {
    window,
    part: intersect(s.blur === undefined ? laid : plateBlurReach(s.blur).needs(laid), s.frame),
  }
}

/**
 * One frame of the shot, or the part of it in which `wanted` lies: the same samples. `layers` hold at most one picture an
 * id, as far as the part of `partsFor`; `number` is the shot's frame, for the grain.
 *
 * @param inPlace the plate's own samples are changed, where the delivery holds the same and all of it is wanted
 */
export function composeFrame(
  plate: NativeFrame,
  layers: readonly Sheet[],
  number: number,
  s: ComposeSettings,
  wanted: Region = s.frame,
  inPlace = false,
): Composed {
  const { window, part } = partsFor(wanted, plate.layout, s)
  const bad = plate.layout.float ? badRegion(plate, part) : undefined
  const mended = bad && mendFrame(plate, bad, s.delivery.from)
  const sound = mended?.frame ?? plate
  const own = cutFrame(sound, part)
  const base =
    inPlace && own === plate && sameSamples(plate, s.delivery) ? plate : nullRender(own, s.delivery)
  const region = workRegion(layers, s, part)
  const laid = isEmpty(region) ? EMPTY : layOver(region, { plate: sound, base, part, layers, number }, s)
  return {
    frame: cutFrame(base, within(window, part)),
    window,
    touched: intersect(union(laid, mended?.touched ?? EMPTY), window),
    replaced: mended?.replaced ?? NOTHING,
  }
}

/** Everything that can be touched, with the margin that the delivery's chroma needs. */
function workRegion(layers: readonly Sheet[], s: ComposeSettings, part: Region): Region {
  let r = s.blur === undefined ? EMPTY : intersect(blurredRegion(s.blur, s.frame), part)
  for (const layer of layers) {
    r = union(r, grow(layer.region, layer.inCamera === undefined ? 0 : s.codeReach))
    if (layer.emission === undefined) continue
    for (const mask of s.casts.get(layer.id)?.masks ?? []) r = union(r, intersect(mask.region, part))
  }
  const own = intersect(r, part)
  const { width, height } = s.frame
  return isEmpty(own) ? own : intersect(patchRegion(own, s.delivery.layout, width, height), part)
}

/** Smallest region holding every NaN and infinity in a part of a float plate; undefined when there is none. */
function badRegion(plate: NativeFrame, part: Region): Region | undefined {
  let x0 = plate.width
  let y0 = plate.height
  let x1 = -1
  let y1 = -1
  for (const { data, width } of plate.planes) {
    for (let y = part.y; y < part.y + part.height; y++) {
      if (allFinite(data, y * width + part.x, part.width)) continue
      for (let x = part.x, i = y * width + x; x < part.x + part.width; x++, i++) {
        if (Number.isFinite(data[i] as number)) continue
        x0 = Math.min(x0, x)
        y0 = Math.min(y0, y)
        x1 = Math.max(x1, x)
        y1 = Math.max(y1, y)
      }
    }
  }
  if (x1 < 0) return undefined
  // One pixel more on each side: a hole is filled from its neighbours.
  const region = { x: x0 - 1, y: y0 - 1, width: x1 - x0 + 3, height: y1 - y0 + 3 }
  return intersect(region, { x: 0, y: 0, width: plate.width, height: plate.height })
}
