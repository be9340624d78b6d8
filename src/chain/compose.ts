/**
 * The plate's region of one frame with every layer in it: cast light, over, grain, and back to code values.
 * Nothing outside the touched mask leaves with another value than it came with.
 */
import { type FloatImage, intersect, isEmpty, type NativeFrame, type Region, union } from '../core/index.js'
import { applyCurve, type Coding, type CurveTables, patch, patchRegion, unpack } from '../kernels/index.js'
import { type Delivery, nullRender } from './display/deliver.js'
import type { Layer } from './element.js'
import { applyCast, type SurfaceMask } from './light/cast/apply.js'
import { halfOf, type Step } from './order.js'
import { plateVariance, topUp } from './sensor/grain/apply.js'
import type { GrainModel } from './sensor/grain/model.js'
import { type Replaced, replaceNotFinite } from './source/finite.js'

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
  /** What the encoder gets. */
  readonly frame: NativeFrame
  readonly touched: Region
  /** NaN and infinity found in the plate. */
  readonly replaced: Replaced
}

const NOTHING: Replaced = { nan: 0, infinite: 0 }

/** One frame of the shot. `layers` hold at most one picture an id; `number` is the shot's frame, for the grain. */
export function composeFrame(
  plate: NativeFrame,
  layers: readonly Layer[],
  number: number,
  s: ComposeSettings,
): Composed {
  const base = nullRender(plate, s.delivery)
  const bad = plate.layout.float ? badRegion(plate) : undefined
  const region = workRegion(layers, s, bad)
  if (isEmpty(region)) return { frame: base, touched: region, replaced: NOTHING }
  const before = unpack(plate, s.delivery.from, region)
  const touched = new Uint8Array(region.width * region.height)
  const replaced = bad === undefined ? NOTHING : replaceNotFinite(before, touched)
  const light: FloatImage = { region, data: before.data.slice() }
  applyCurve(light, s.decode)
  if (s.delivery.from.curve !== s.delivery.to.curve) {
    before.data.set(light.data)
    applyCurve(before, s.encode)
  }
  const keep = new Float32Array(touched.length).fill(1)
  const variance = plateVariance(s.grain, light)
  castAll(light, variance, touched, layers, s)
  for (const step of s.steps) {
    const layer = layers.find((l) => l.id === step.id)
    if (layer !== undefined) layOver(light, variance, keep, touched, layer, step)
  }
  if (s.grain !== undefined) topUp(light, variance, touched, s.grain, number)
  applyCurve(light, s.encode)
  if (!s.delivery.layout.float) holdToPeak(light, before, touched)
  patch(base, before, light, keep, touched, s.delivery.to as Coding)
  return { frame: base, touched: maskRegion(touched, region), replaced }
}

/**
 * In place: touched code values held to 0 … 1 per channel, as a camera clips, or to the plate's own where that goes further.
 * Y′CbCr would clip each plane for itself and turn a bright flame to lemon.
 */
function holdToPeak(code: FloatImage, before: FloatImage, touched: Uint8Array): void {
  for (let p = 0; p < touched.length; p++) {
    if (touched[p] === 0) continue
    for (let i = 4 * p; i < 4 * p + 3; i++) {
      const own = before.data[i] as number
      code.data[i] = Math.min(Math.max(code.data[i] as number, Math.min(own, 0)), Math.max(own, 1))
    }
  }
}

/** Everything that can be touched, with the margin that the delivery's chroma needs. */
function workRegion(layers: readonly Layer[], s: ComposeSettings, bad: Region | undefined): Region {
  let r = bad ?? { x: 0, y: 0, width: 0, height: 0 }
  for (const layer of layers) {
    r = union(r, layer.image.region)
    if (layer.emission === undefined) continue
    for (const mask of s.casts.get(layer.id)?.masks ?? []) r = union(r, intersect(mask.region, s.frame))
  }
  const whole = intersect(r, s.frame)
  return isEmpty(whole) ? whole : patchRegion(whole, s.delivery.layout, s.frame.width, s.frame.height)
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

function layOver(
  light: FloatImage,
  variance: Float32Array,
  keep: Float32Array,
  touched: Uint8Array,
  layer: Layer,
  step: Step,
): void {
  const image = step.part === 'whole' ? layer.image : halfOf(layer.image)
  const r = intersect(image.region, light.region)
  const { data } = image
  for (let y = r.y; y < r.y + r.height; y++) {
    let i = 4 * ((y - image.region.y) * image.region.width + r.x - image.region.x)
    let p = (y - light.region.y) * light.region.width + r.x - light.region.x
    for (let x = 0; x < r.width; x++, i += 4, p++) {
      const a = data[i + 3] as number
      if (a === 0 && data[i] === 0 && data[i + 1] === 0 && data[i + 2] === 0) continue
      touched[p] = 1
      const left = 1 - a
      keep[p] = (keep[p] as number) * left
      for (let c = 0; c < 3; c++) {
        light.data[4 * p + c] = (light.data[4 * p + c] as number) * left + (data[i + c] as number)
        const own = a > 0 ? a * a : 1
        variance[3 * p + c] =
          (variance[3 * p + c] as number) * left * left + (layer.variance[c] as number) * own
      }
    }
  }
}

/** Smallest region holding every NaN and infinity of a float plate; undefined when there is none. */
function badRegion(plate: NativeFrame): Region | undefined {
  let x0 = plate.width
  let y0 = plate.height
  let x1 = -1
  let y1 = -1
  for (const plane of plate.planes) {
    for (let i = 0; i < plane.data.length; i++) {
      if (Number.isFinite(plane.data[i] as number)) continue
      const x = i % plane.width
      const y = (i - x) / plane.width
      x0 = Math.min(x0, x)
      y0 = Math.min(y0, y)
      x1 = Math.max(x1, x)
      y1 = Math.max(y1, y)
    }
  }
  if (x1 < 0) return undefined
  // One pixel more on each side: a hole is filled from its neighbours.
  const region = { x: x0 - 1, y: y0 - 1, width: x1 - x0 + 3, height: y1 - y0 + 3 }
  return intersect(region, { x: 0, y: 0, width: plate.width, height: plate.height })
}

function maskRegion(mask: Uint8Array, region: Region): Region {
  let x0 = region.width
  let y0 = region.height
  let x1 = -1
  let y1 = -1
  for (let p = 0; p < mask.length; p++) {
    if (mask[p] === 0) continue
    const x = p % region.width
    const y = (p - x) / region.width
    x0 = Math.min(x0, x)
    y0 = Math.min(y0, y)
    x1 = Math.max(x1, x)
    y1 = Math.max(y1, y)
  }
  if (x1 < 0) return { x: 0, y: 0, width: 0, height: 0 }
  return { x: region.x + x0, y: region.y + y0, width: x1 - x0 + 1, height: y1 - y0 + 1 }
}
