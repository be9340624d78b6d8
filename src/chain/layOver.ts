/** Layers laid over the plate, strip by strip: cast light, over, grain, and back to code values. */
import {
  type FloatImage,
  intersect,
  isEmpty,
  type NativeFrame,
  type Region,
  type Rgb,
  union,
} from '../core/index.js'
import {
  applyCurve,
  type Coding,
  type CurveTables,
  cover,
  curved,
  duringScratch,
  filledFloats,
  type Grains,
  type Ground,
  holdToPeak,
  newBytes,
  patch,
  stripsOf,
  unpack,
  WARP_ROWS,
} from '../kernels/index.js'
import type { Delivery } from './display/deliver.js'
import type { Layer, Sheet } from './element.js'
import { asFilmed, beforeLayer, type CodeDomain, grainThrough } from './inCamera.js'
import { applyCast, type SurfaceMask } from './light/cast/apply.js'
import { halfOf, type Step } from './order.js'
import { blurPlate, blurredRegion, layBlurred, type PlateBlur } from './plateBlur.js'
import { grainOf, leaveOut, plateVariance, topUp } from './sensor/grain/apply.js'
import type { GrainModel } from './sensor/grain/model.js'
import { holdToLimits, type Limits, limitShares, markShare } from './sensor/limits/apply.js'
import { maskRegion } from './source/mend.js'

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
  /** Undefined leaves the plate as sharp as it is. */
  readonly blur: PlateBlur | undefined
  /** Undefined leaves the grain as it falls. */
  readonly grain: GrainModel | undefined
  /** Where the plate's sensor ends; undefined holds nothing to it. */
  readonly limits: Limits | undefined
  /** The plate's own code values; undefined where no element is processed in them. */
  readonly codes: CodeDomain | undefined
  /** Pixels that the processing of any element looks around one. */
  readonly codeReach: number
}

/** What a frame is made from. */
export interface Parts {
  readonly plate: NativeFrame
  /** What is changed: samples of the part of the picture that `part` says. */
  readonly base: NativeFrame
  readonly part: Region
  readonly layers: readonly Sheet[]
  /** The shot's frame, for the grain. */
  readonly number: number
}

/** Everything in a region of the picture, into `base`. Gives the smallest region that holds every touched pixel. */
export function layOver(region: Region, parts: Parts, s: ComposeSettings): Region {
  return duringScratch(() => {
    const grain = s.grain && grainOf(s.grain, parts.number, region)
    const blurred = blurredIn(region, parts.plate, s)
    const alone = s.codes === undefined && rowsStandAlone(parts)
    const band = (rows: Region) => {
      const ordered = inOrder(parts.layers, s, rows)
      return (alone ? stripsOf(rows) : [rows])
        .map((strip) =>
          duringScratch(() => layStrip(strip, strip.y - region.y, parts, ordered, s, grain, blurred)),
        )
        .reduce(union)
    }
    return (alone ? bandsOf(region) : [region]).map((rows) => duringScratch(() => band(rows))).reduce(union)
  })
}

/** Before any sample of the plate is changed: a pixel's blur looks at its neighbours. */
function blurredIn(region: Region, plate: NativeFrame, s: ComposeSettings): FloatImage | undefined {
  if (s.blur === undefined) return undefined
  const here = intersect(region, blurredRegion(s.blur, s.frame))
  return isEmpty(here) ? undefined : blurPlate(plate, s.delivery.from, s.decode, s.blur, s.frame, here)
}

/** The rows of a region as the lens draws them best. */
function bandsOf(region: Region): Region[] {
  const first = Math.floor(region.y / WARP_ROWS)
  const end = Math.ceil((region.y + region.height) / WARP_ROWS)
  return Array.from({ length: end - first }, (_, i) =>
    intersect({ ...region, y: WARP_ROWS * (first + i), height: WARP_ROWS }, region),
  )
}

/** What lies in these rows, from far to near; what holds another one comes twice, in halves. */
function inOrder(layers: readonly Sheet[], s: ComposeSettings, rows: Region): Layer[] {
  const here = new Map<string, Layer>()
  for (const { region, draw, ...rest } of layers) {
    const part = intersect(region, rows)
    if (!isEmpty(part)) here.set(rest.id, { ...rest, ...draw(part) })
  }
  return s.steps.flatMap((step) => {
    const layer = here.get(step.id)
    if (layer === undefined) return []
    return step.part === 'whole' ? [layer] : [{ ...layer, ...halfOf(layer) }]
  })
}

/** Whether rows are made without their neighbours, at which chroma may look. */
function rowsStandAlone({ plate, base }: Parts): boolean {
  return plate.layout.subY === 0 && base.layout.subY === 0
}

/** @param top the strip's first row in the region that the grain was made for */
function layStrip(
  region: Region,
  top: number,
  { plate, base, part, layers }: Parts,
  ordered: readonly Layer[],
  s: ComposeSettings,
  grain: Grains | undefined,
  blurred: FloatImage | undefined,
): Region {
  const decoded = unpack(plate, s.delivery.from, region)
  const touched = newBytes(region.width * region.height)
  const light = curved(decoded, s.decode)
  const before = s.delivery.from.curve === s.delivery.to.curve ? decoded : curved(light, s.encode)
  const keep = filledFloats(touched.length, 1)
  const variance = plateVariance(s.grain, light)
  if (blurred !== undefined) layBlurred({ light, variance, keep, touched }, blurred)
  castAll(light, variance, touched, layers, s)
  const shares = s.limits && limitShares(ordered, touched.length)
  for (const layer of ordered) {
    const { image, coverage, variance: own, sensorShare } = layer
    const ground = { light, variance, keep, touched }
    const { codes } = s
    if (codes !== undefined && layer.inCamera !== undefined)
      duringScratch(() => coverFilmed(ground, layer, codes, s.grain))
    else cover(ground, image, own, coverage)
    if (shares !== undefined) markShare(shares, region, image, sensorShare)
    if (s.grain !== undefined && sensorShare < 1) leaveOut(light, variance, image, s.grain, sensorShare)
  }
  if (s.grain !== undefined && grain !== undefined) topUp(light, variance, touched, s.grain, grain, top)
  if (s.limits !== undefined) holdToLimits(light, curved(decoded, s.decode), touched, s.limits, shares)
  applyCurve(light, s.encode)
  if (!s.delivery.layout.float) holdToPeak(light, before, touched)
  const here = within(region, part)
  patch(base, { ...before, region: here }, { ...light, region: here }, keep, touched, s.delivery.to as Coding)
  return maskRegion(touched, region)
}

/** Laid over, and processed as the plate's camera would have. */
function coverFilmed(
  ground: Ground,
  { image, coverage, variance, inCamera }: Layer,
  codes: CodeDomain,
  grain: GrainModel | undefined,
): void {
  if (inCamera === undefined) return
  const before = beforeLayer(ground.light, image.region, inCamera)
  const gain = grainThrough(inCamera, codes.luma)
  const own: Rgb = [variance[0] * gain[0], variance[1] * gain[1], variance[2] * gain[2]]
  const keep = filledFloats(ground.keep.length, 1)
  cover({ ...ground, keep }, image, own, coverage)
  asFilmed(ground, before, keep, inCamera, codes, grain)
  for (let p = 0; p < keep.length; p++) ground.keep[p] = (ground.keep[p] as number) * (keep[p] as number)
}

function castAll(
  light: FloatImage,
  variance: Float32Array,
  touched: Uint8Array,
  layers: readonly Sheet[],
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

/** A region of the picture counted from the corner of a part of it. */
export function within(r: Region, part: Region): Region {
  return { ...r, x: r.x - part.x, y: r.y - part.y }
}
