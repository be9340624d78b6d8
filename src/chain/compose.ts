/**
 * The plate's region of one frame with every layer in it: cast light, over, grain, and back to code values.
 * Nothing outside the touched mask leaves with another value than it came with.
 */
import {
  align,
  cutFrame,
  type FloatImage,
  intersect,
  isEmpty,
  type NativeFrame,
  type PixelLayout,
  type Region,
  union,
} from '../core/index.js'
import {
  applyCurve,
  type Coding,
  type CurveTables,
  copyImage,
  cover,
  holdToPeak,
  newBytes,
  newFloats,
  patch,
  patchRegion,
  unpack,
} from '../kernels/index.js'
import { type Delivery, nullRender, sameSamples } from './display/deliver.js'
import { deliveryReach } from './display/reach.js'
import type { Layer } from './element.js'
import { applyCast, type SurfaceMask } from './light/cast/apply.js'
import { halfOf, type Step } from './order.js'
import { plateVariance, topUp } from './sensor/grain/apply.js'
import type { GrainModel } from './sensor/grain/model.js'
import { finiteReach, NOTHING, type Replaced, replaceNotFinite } from './source/finite.js'

export interface CastSettings {
  readonly masks: readonly SurfaceMask[]
  readonly metresPerPixel: number
  readonly factor: number
}

export interface ComposeSettings {
  readonly frame: Region
  readonly delivery: Delivery
  /** Plate code values to light. */
  readonly decode: CurveTables
  /** Light to the delivery's code values. */
  readonly encode: CurveTables
  readonly steps: readonly Step[]
  readonly casts: ReadonlyMap<string, CastSettings>
  /** Undefined leaves the grain as it falls. */
  readonly grain: GrainModel | undefined
}

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
  return { window, part: intersect(reach.needs(finiteReach(plate).needs(window)), s.frame) }
}

/**
 * One frame of the shot, or the part of it in which `wanted` lies: the same samples. `layers` hold at most one picture an
 * id, as far as the part of `partsFor`; `number` is the shot's frame, for the grain.
 *
 * @param inPlace the plate's own samples are changed, where the delivery holds the same and all of it is wanted
 */
export function composeFrame(
  plate: NativeFrame,
  layers: readonly Layer[],
  number: number,
  s: ComposeSettings,
  wanted: Region = s.frame,
  inPlace = false,
): Composed {
  const { window, part } = partsFor(wanted, plate.layout, s)
  const own = cutFrame(plate, part)
  const base =
    inPlace && own === plate && sameSamples(plate, s.delivery) ? plate : nullRender(own, s.delivery)
  const frame = () => cutFrame(base, within(window, part))
  const bad = plate.layout.float ? badRegion(plate, part) : undefined
  const region = workRegion(layers, s, bad, part)
  if (isEmpty(region)) return { frame: frame(), window, touched: region, replaced: NOTHING }
  const before = unpack(plate, s.delivery.from, region)
  const touched = newBytes(region.width * region.height)
  const replaced = bad === undefined ? NOTHING : replaceNotFinite(before, touched)
  const light = copyImage(before)
  applyCurve(light, s.decode)
  if (s.delivery.from.curve !== s.delivery.to.curve) {
    before.data.set(light.data)
    applyCurve(before, s.encode)
  }
  const keep = newFloats(touched.length).fill(1)
  const variance = plateVariance(s.grain, light)
  castAll(light, variance, touched, layers, s)
  for (const step of s.steps) {
    const layer = layers.find((l) => l.id === step.id)
    if (layer === undefined) continue
    const { image, coverage } = step.part === 'whole' ? layer : halfOf(layer)
    cover({ light, variance, keep, touched }, image, layer.variance, coverage)
  }
  if (s.grain !== undefined) topUp(light, variance, touched, s.grain, number)
  applyCurve(light, s.encode)
  if (!s.delivery.layout.float) holdToPeak(light, before, touched)
  const here = within(region, part)
  patch(base, { ...before, region: here }, { ...light, region: here }, keep, touched, s.delivery.to as Coding)
  return { frame: frame(), window, touched: intersect(maskRegion(touched, region), window), replaced }
}

/** A region of the picture counted from the corner of a part of it. */
function within(r: Region, part: Region): Region {
  return { ...r, x: r.x - part.x, y: r.y - part.y }
}

/** Everything that can be touched, with the margin that the delivery's chroma needs. */
function workRegion(
  layers: readonly Layer[],
  s: ComposeSettings,
  bad: Region | undefined,
  part: Region,
): Region {
  let r = bad ?? { x: 0, y: 0, width: 0, height: 0 }
  for (const layer of layers) {
    r = union(r, layer.image.region)
    if (layer.emission === undefined) continue
    for (const mask of s.casts.get(layer.id)?.masks ?? []) r = union(r, intersect(mask.region, part))
  }
  const own = intersect(r, part)
  const { width, height } = s.frame
  return isEmpty(own) ? own : intersect(patchRegion(own, s.delivery.layout, width, height), part)
}

function castAll(
  light: FloatImage,
  variance: Float32Array,
  touched: Uint8Array,
  layers: readonly Layer[],
  s: ComposeSettings,
): void {
  for (const layer of layers) {
    const cast = s.casts.get(layer.id)
    if (cast === undefined || layer.emission === undefined || cast.factor === 0) continue
    for (const mask of cast.masks) {
      applyCast(light, variance, mask, layer.emission, cast.metresPerPixel, cast.factor)
      markShare(touched, light.region, mask)
    }
  }
}

function markShare(touched: Uint8Array, region: Region, mask: SurfaceMask): void {
  const r = intersect(mask.region, region)
  for (let y = r.y; y < r.y + r.height; y++) {
    for (let x = r.x; x < r.x + r.width; x++) {
      if (mask.share[(y - mask.region.y) * mask.region.width + x - mask.region.x] === 0) continue
      touched[(y - region.y) * region.width + x - region.x] = 1
    }
  }
}

/** Smallest region holding every NaN and infinity in a part of a float plate; undefined when there is none. */
function badRegion(plate: NativeFrame, part: Region): Region | undefined {
  let x0 = plate.width
  let y0 = plate.height
  let x1 = -1
  let y1 = -1
  for (const { data, width } of plate.planes) {
    for (let y = part.y; y < part.y + part.height; y++) {
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

function maskRegion(mask: Uint8Array, region: Region): Region {
  const { width } = region
  let x0 = width
  let x1 = -1
  for (let from = 0; from < mask.length; from += width) {
    const row = mask.subarray(from, from + width)
    const first = row.indexOf(1)
    if (first < 0) continue
    x0 = Math.min(x0, first)
    x1 = Math.max(x1, row.lastIndexOf(1))
  }
  const y0 = Math.floor(mask.indexOf(1) / width)
  const y1 = Math.floor(mask.lastIndexOf(1) / width)
  if (x1 < 0) return { x: 0, y: 0, width: 0, height: 0 }
  return { x: region.x + x0, y: region.y + y0, width: x1 - x0 + 1, height: y1 - y0 + 1 }
}
