/** One element's way from its file's code values to light that stands in the plate: source, place, light, air, lens. */
import type { BlueOfGreen } from '../colour/index.js'
import {
  EMPTY,
  type FloatImage,
  grow,
  intersect,
  isEmpty,
  type NativeFrame,
  type Region,
  type Rgb,
} from '../core/index.js'
import {
  applyGain,
  applyMatrix,
  type Coding,
  type CurveTable,
  copyImage,
  discBlur,
  newImage,
  placedRegion,
  resample,
  type ThreeTables,
  unpack,
  warp,
  warpedRegion,
  warpSource,
} from '../kernels/index.js'
import { applyHaze } from './air/haze/model.js'
import type { Bend } from './lens/bend.js'
import type { Emission, Surface } from './light/cast/model.js'
import { applyMatch } from './light/match/apply.js'
import type { Points } from './light/match/model.js'
import type { PlaceMap } from './place/raster/model.js'
import { type AlphaKind, coverFromLight, toPremultiplied } from './source/alpha/apply.js'
import { rebuildCores } from './source/ceiling/apply.js'
import { NOTHING, type Replaced, replaceNotFinite } from './source/finite.js'
import { removeFloor } from './source/floor/apply.js'

/** Everything that an element's way needs, as numbers: made once a shot, the same in every thread. */
export interface ElementSettings {
  readonly id: string
  readonly alpha: AlphaKind
  readonly coding: Coding
  readonly decode: CurveTable
  /** Element's primaries to the plate's, row-major; undefined when they are the same. */
  readonly toPlate: readonly number[] | undefined
  /** Share of the colour that is emission, 0 to 1. */
  readonly emits: number
  /** Level at which its file is clipped, and the colour by which its core is rebuilt; undefined leaves it. */
  readonly ceiling:
    | { readonly level: number; readonly planck: Rgb; readonly rise: BlueOfGreen | undefined }
    | undefined
  readonly floor: Rgb
  readonly floorNoise: Rgb
  /** `luminance` where the element keeps its own colour. */
  readonly match:
    | {
        readonly from: Points
        readonly to: Points
        readonly tables: ThreeTables
        readonly luminance: Rgb | undefined
      }
    | undefined
  readonly emissionGain: Rgb
  readonly transmittance: Rgb
  readonly airlight: Rgb
  readonly blurRadius: number
  /** What the plate's lens does to it; undefined where that is nothing. */
  readonly bend: Bend | undefined
  /** Variance of the element's own grain in its file, linear. */
  readonly variance: Rgb
  readonly metresPerPixel: number | undefined
  readonly castFactor: number
  readonly surfaces: readonly Surface[]
}

/** An element placed in the plate's light over the region that it touches. */
export interface Layer {
  readonly id: string
  /** Premultiplied linear light; alpha is what covers the plate. */
  readonly image: FloatImage
  /** What covers red, green and blue of the plate, and green once more, where the lens draws them at different places. */
  readonly coverage: FloatImage | undefined
  /** Variance of the element's own grain as placed, where alpha is 1. */
  readonly variance: Rgb
  readonly emission: Emission | undefined
}

/** Source link: the whole element frame as premultiplied linear light in the plate's primaries. */
export function sourceLight(
  frame: NativeFrame,
  s: ElementSettings,
  clean: boolean,
): { image: FloatImage; replaced: Replaced } {
  const image = unpack(frame, s.coding, { x: 0, y: 0, width: frame.width, height: frame.height })
  const replaced = frame.layout.float ? replaceNotFinite(image) : NOTHING
  toPremultiplied(image, s.alpha, s.decode)
  if (clean && s.ceiling !== undefined) rebuildCores(image, s.ceiling.level, s.ceiling.planck, s.ceiling.rise)
  if (s.toPlate !== undefined) applyMatrix(image, s.toPlate)
  if (clean && s.alpha === 'on-black') removeFloor(image, s.floor, s.floorNoise)
  if (s.alpha === 'on-black' && s.emits < 1) coverFromLight(image)
  return { image, replaced }
}

/** Place, light, air and lens links. `light` is what {@link sourceLight} gave. */
export function treatedLayer(light: FloatImage, s: ElementSettings, map: PlaceMap, frame: Region): Layer {
  const margin = s.blurRadius > 0 ? Math.ceil(s.blurRadius) + 1 : 0
  const seen = s.bend === undefined ? frame : warpSource(s.bend.map, frame)
  const placed = place(light, map, grow(seen, margin))
  if (isEmpty(placed.region)) return { ...layerOf(s, placed), variance: s.variance }
  const emission = shine(placed, s)
  applyHaze(placed, s.transmittance, s.airlight)
  const blurred = discBlur(placed, s.blurRadius)
  const shrink = Math.min(1, map.scaleX * map.scaleY)
  const gain = matchSlope(s)
  const variance: Rgb = [
    s.variance[0] * shrink * (gain[0] * s.transmittance[0]) ** 2,
    s.variance[1] * shrink * (gain[1] * s.transmittance[1]) ** 2,
    s.variance[2] * shrink * (gain[2] * s.transmittance[2]) ** 2,
  ]
  return { ...bent(cut(blurred, seen), s, frame), variance, emission: drawn(emission, s.bend) }
}

function layerOf(s: ElementSettings, image: FloatImage): Layer {
  return { id: s.id, image, coverage: undefined, variance: [0, 0, 0], emission: undefined }
}

/** Lens link: as the plate's lens draws it. */
function bent(image: FloatImage, s: ElementSettings, frame: Region): Layer {
  if (s.bend === undefined) return layerOf(s, image)
  const { map } = s.bend
  return { ...layerOf(s, image), ...warp(image, map, intersect(warpedRegion(map, image.region), frame)) }
}

/** The emitter's middle lies where the lens draws it; what it gives stays. */
function drawn(emission: Emission | undefined, bend: Bend | undefined): Emission | undefined {
  if (emission === undefined || bend === undefined) return emission
  const [x, y] = bend.drawn(emission.x, emission.y)
  return { ...emission, x, y }
}

/** The same files placed and nothing else done: what a plain over or add of them gives. */
export function plainLayer(light: FloatImage, s: ElementSettings, map: PlaceMap, frame: Region): Layer {
  return layerOf(s, place(light, map, frame))
}

function place(light: FloatImage, map: PlaceMap, bounds: Region): FloatImage {
  const region = intersect(placedRegion(light.region.width, light.region.height, map), bounds)
  return isEmpty(region) ? newImage(EMPTY) : resample(light, map, region)
}

/** Light link, in place: the emitting share by exposure and temperature, the rest by its match. Gives the emission. */
function shine(image: FloatImage, s: ElementSettings): Emission | undefined {
  const emitted = s.emits > 0 ? copyImage(image) : undefined
  if (emitted !== undefined) {
    applyGain(emitted, [
      s.emissionGain[0] * s.emits,
      s.emissionGain[1] * s.emits,
      s.emissionGain[2] * s.emits,
    ])
  }
  const rest = 1 - s.emits
  if (rest === 0) image.data.fill(0)
  else {
    if (rest < 1) for (let i = 0; i < image.data.length; i++) image.data[i] = (image.data[i] as number) * rest
    if (s.match !== undefined) applyMatch(image, s.match.tables, s.match.luminance)
  }
  if (emitted === undefined) return undefined
  return addEmission(image, emitted)
}

function addEmission(image: FloatImage, emitted: FloatImage): Emission | undefined {
  const total: [number, number, number] = [0, 0, 0]
  let weight = 0
  let sx = 0
  let sy = 0
  let syy = 0
  const { x, y, width } = image.region
  for (let i = 0, p = 0; i < image.data.length; i += 4, p++) {
    let light = 0
    for (let c = 0; c < 3; c++) {
      const v = emitted.data[i + c] as number
      image.data[i + c] = (image.data[i + c] as number) + v
      total[c] = (total[c] as number) + v
      light += v
    }
    if (light <= 0) continue
    weight += light
    sx += light * (x + (p % width) + 0.5)
    const v = y + Math.floor(p / width) + 0.5
    sy += light * v
    syy += light * v * v
  }
  if (weight <= 0) return undefined
  const middle = sy / weight
  return { total, x: sx / weight, y: middle, spreadY: Math.sqrt(Math.max(syy / weight - middle * middle, 0)) }
}

/** Mean slope of the light link: what it does to the element's own grain. */
function matchSlope(s: ElementSettings): Rgb {
  const slope = (c: 0 | 1 | 2) => {
    if (s.emits === 1) return s.emissionGain[c]
    if (s.match === undefined) return 1
    const span = s.match.from.white[c] - s.match.from.black[c]
    return span < 1e-5 ? 1 : (s.match.to.white[c] - s.match.to.black[c]) / span
  }
  return [slope(0), slope(1), slope(2)]
}

function cut(image: FloatImage, frame: Region): FloatImage {
  const r = intersect(image.region, frame)
  if (r.width === image.region.width && r.height === image.region.height) return image
  const out = newImage(r)
  for (let y = 0; y < r.height; y++) {
    const from = 4 * ((y + r.y - image.region.y) * image.region.width + r.x - image.region.x)
    out.data.set(image.data.subarray(from, from + 4 * r.width), 4 * y * r.width)
  }
  return out
}
