/** Layers laid over the plate, strip by strip: cast light, over, grain, and back to code values. */
import { type FloatImage, type NativeFrame, type Region, union } from '../core/index.js'
import {
  applyCurve,
  type Coding,
  type CurveTables,
  copyImage,
  cover,
  duringScratch,
  type GrainRows,
  holdToPeak,
  newBytes,
  newFloats,
  patch,
  stripsOf,
  unpack,
} from '../kernels/index.js'
import type { Delivery } from './display/deliver.js'
import type { Layer } from './element.js'
import { applyCast, type SurfaceMask } from './light/cast/apply.js'
import { halfOf, type Step } from './order.js'
import { grainOf, plateVariance, topUp } from './sensor/grain/apply.js'
import type { GrainModel } from './sensor/grain/model.js'
import { both, NOTHING, type Replaced, replaceNotFinite } from './source/finite.js'

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

/** What a frame is made from. */
export interface Parts {
  readonly plate: NativeFrame
  /** What is changed: samples of the part of the picture that `part` says. */
  readonly base: NativeFrame
  readonly part: Region
  readonly layers: readonly Layer[]
  /** The shot's frame, for the grain. */
  readonly number: number
  /** Whether the plate holds NaN or infinity. */
  readonly bad: boolean
}

export interface Laid {
  readonly touched: Region
  readonly replaced: Replaced
}

/** Everything in a region of the picture, into `base`. */
export function layOver(region: Region, parts: Parts, s: ComposeSettings): Laid {
  return duringScratch(() => {
    const ordered = inOrder(parts.layers, s)
    const grain = s.grain && grainOf(s.grain, parts.number, region)
    const strips = rowsStandAlone(parts) ? stripsOf(region) : [region]
    const laid = strips.map((strip) =>
      duringScratch(() => layStrip(strip, strip.y - region.y, parts, ordered, s, grain)),
    )
    return {
      touched: laid.map((l) => l.touched).reduce(union),
      replaced: laid.map((l) => l.replaced).reduce(both),
    }
  })
}

/** From far to near; what holds another one comes twice, in halves. */
function inOrder(layers: readonly Layer[], s: ComposeSettings): Layer[] {
  return s.steps.flatMap((step) => {
    const layer = layers.find((l) => l.id === step.id)
    if (layer === undefined) return []
    return step.part === 'whole' ? [layer] : [{ ...layer, ...halfOf(layer) }]
  })
}

/** Whether rows are made without their neighbours: chroma and the filling of a plate's holes look at these. */
function rowsStandAlone({ plate, base, bad }: Parts): boolean {
  return plate.layout.subY === 0 && base.layout.subY === 0 && !bad
}

/** @param top the strip's first row in the region that the grain was made for */
function layStrip(
  region: Region,
  top: number,
  { plate, base, part, bad, layers }: Parts,
  ordered: readonly Layer[],
  s: ComposeSettings,
  grain: GrainRows | undefined,
): Laid {
  const before = unpack(plate, s.delivery.from, region)
  const touched = newBytes(region.width * region.height)
  const replaced = bad ? replaceNotFinite(before, touched) : NOTHING
  const light = copyImage(before)
  applyCurve(light, s.decode)
  if (s.delivery.from.curve !== s.delivery.to.curve) {
    before.data.set(light.data)
    applyCurve(before, s.encode)
  }
  const keep = newFloats(touched.length).fill(1)
  const variance = plateVariance(s.grain, light)
  castAll(light, variance, touched, layers, s)
  for (const { image, coverage, variance: own } of ordered) {
    cover({ light, variance, keep, touched }, image, own, coverage)
  }
  if (s.grain !== undefined && grain !== undefined) topUp(light, variance, touched, s.grain, grain, top)
  applyCurve(light, s.encode)
  if (!s.delivery.layout.float) holdToPeak(light, before, touched)
  const here = within(region, part)
  patch(base, { ...before, region: here }, { ...light, region: here }, keep, touched, s.delivery.to as Coding)
  return { touched: maskRegion(touched, region), replaced }
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
      applyCast({ light, variance, touched }, mask, layer.emission, cast.metresPerPixel, cast.factor)
    }
  }
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

/** A region of the picture counted from the corner of a part of it. */
export function within(r: Region, part: Region): Region {
  return { ...r, x: r.x - part.x, y: r.y - part.y }
}
