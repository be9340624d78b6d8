/** One element's way from its file's code values to light that stands in the plate: source, place, light, air, lens, shutter. */
import type { BlueOfGreen } from '../colour/index.js'
import {
  chained,
  EMPTY,
  type FloatImage,
  intersect,
  isEmpty,
  type NativeFrame,
  POINTWISE,
  type Region,
  type Rgb,
} from '../core/index.js'
import {
  type Aperture,
  byStrips,
  type Coding,
  type CurveTable,
  cropImage,
  extentOf,
  newImage,
  type RadiusField,
  resample,
  streak,
  streakedRegion,
  streakSource,
  type ThreeTables,
  warp,
  warpedRegion,
  warpSource,
} from '../kernels/index.js'
import { applyHaze, hazeReach } from './air/haze/model.js'
import type { InCamera } from './inCamera.js'
import type { Bend } from './lens/bend.js'
import type { ColourBlur } from './lens/colourBlur/apply.js'
import type { Glare } from './lens/glare/model.js'
import type { Vignette } from './lens/vignette/model.js'
import type { Emission, Surface } from './light/cast/model.js'
import { emissionReach } from './light/cast/reach.js'
import type { Points } from './light/match/model.js'
import type { Medium } from './order.js'
import { ownVariance } from './ownGrain.js'
import { type Exposed, isCarried, type PlaceMap } from './place/raster/map.js'
import { placeReach, warpOf } from './place/raster/reach.js'
import { shine } from './shine.js'
import { crossed } from './shutter/cadence/cross.js'
import { bentAlong } from './shutter/ownMotion/between.js'
import { type OwnMotion, ownStreak } from './shutter/ownMotion/model.js'
import type { AlphaKind } from './source/alpha/apply.js'
import { alphaSupport } from './source/alpha/support.js'
import type { Replaced } from './source/finite.js'
import { pictureOf, sourceLight } from './sourceLight.js'
import { type GoesToo, streakIn } from './streak.js'
import { lensReach, still, throughLens } from './throughLens.js'

/** Everything that an element's way needs, as numbers: made once a shot, the same in every thread. */
export interface ElementSettings {
  readonly id: string
  readonly alpha: AlphaKind
  readonly coding: Coding
  /** Undefined where the file's codes are light as they stand. */
  readonly decode: CurveTable | undefined
  /** Element's primaries to the plate's, row-major; undefined when they are the same. */
  readonly toPlate: readonly number[] | undefined
  /** Share of the colour that is emission, 0 to 1. */
  readonly emits: number
  /** Times the optical depth of the least alpha, of what was shot on black and covers. */
  readonly coverage: number
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
  /** Of red and blue, as factors of that of green. */
  readonly blurByColour: ColourBlur
  /** A blur that runs over it, in place of one radius. */
  readonly blurField: RadiusField | undefined
  /** Shape of the plate's lens opening; undefined is a disc. */
  readonly aperture: Aperture | undefined
  /** What the plate's lens does to it; undefined where that is nothing. */
  readonly bend: Bend | undefined
  /** Share of its light that the plate's lens leaves by its place; undefined leaves all. */
  readonly vignette: Vignette | undefined
  /** The skirt that the plate's lens draws around what it emits; undefined draws none. */
  readonly glare: Glare | undefined
  /** Variance of the element's own grain in its file, linear. */
  readonly variance: Rgb
  /** Share of the grain that it lacks which is topped up, and of the way to the sensor's limits that it goes. */
  readonly sensorShare: number
  /** What the plate's camera does to it after the curve; undefined does nothing. */
  readonly inCamera: InCamera | undefined
  /** Frames of its file over which its own motion is blurred on. */
  readonly ownOpen: number
  /** Frames of its file that pass while the plate's shutter is open. */
  readonly plateOpen: number
  readonly metresPerPixel: number | undefined
  readonly castFactor: number
  readonly surfaces: readonly Surface[]
}

/** An element placed in the plate's light. */
export interface Layer {
  readonly id: string
  /** Premultiplied linear light; alpha is what covers the plate. Borders that hold nothing may be left out. */
  readonly image: FloatImage
  /** What covers red, green and blue of the plate, and green once more, where the lens draws them at different places. */
  readonly coverage: FloatImage | undefined
  /** Variance of the element's own grain as placed, where alpha is 1. */
  readonly variance: Rgb
  /** As in its settings. */
  readonly sensorShare: number
  readonly inCamera: InCamera | undefined
  /** What it emits in all, where surfaces answer that. */
  readonly emission: Emission | undefined
}

/** The same before the lens has drawn it, which it does part by part: no picture of all of it need be held. */
export interface Sheet extends Omit<Layer, keyof Medium> {
  /** Where it can hold anything. */
  readonly region: Region
  /** What lies in a part of the region; it may reach beyond. */
  readonly draw: (part: Region) => Medium
}

export function drawn({ region, draw, ...rest }: Sheet): Layer {
  return { ...rest, ...draw(region) }
}

export function sheetOf({ image, coverage, ...rest }: Layer): Sheet {
  return { ...rest, region: image.region, draw: () => ({ image, coverage }) }
}

/** The plate's picture, and the part of it that is wanted. */
export interface View {
  readonly frame: Region
  readonly window: Region
}

/** A picture of an element. */
export interface Pictured {
  readonly frame: NativeFrame
  /** How what is in it moves, where its blur is to be lengthened. */
  readonly goes?: OwnMotion | undefined
}

/** Another picture of an element, into which the one that shows crosses over. */
export interface Crossing extends Pictured {
  /** Its share of the light, 0 to 1. */
  readonly share: number
  /** Both are bent along their motion to where what they show lies then. */
  readonly along?: boolean | undefined
}

/** What stands of an element in the window. `plain`: its file is placed and nothing else done to it. */
export function elementSheet(
  { frame: native, goes }: Pictured,
  s: ElementSettings,
  stand: Exposed,
  view: View,
  plain: boolean,
  into?: Crossing,
): { sheet: Sheet; replaced: Replaced } {
  const { map } = stand
  const too = plain ? undefined : goesToo(native, goes, s, stand)
  const ways = plain ? undefined : streakIn(view.frame, s.bend, stand, too)
  const after = plain ? POINTWISE : chained(hazeReach, lensReach(s, ways))
  const total = !plain && s.emits > 0 && s.surfaces.length > 0
  const near = after.needs(view.frame)
  const placing = placeReach(map, native.width, native.height, near)
  const needed = chained(emissionReach(total, near), after).needs(view.window)
  const asked = intersect(placing.needs(needed), pictureOf(native))
  const source = ({ frame, goes }: Pictured, asked: Region) => {
    const alone = !plain && goes !== undefined && too === undefined
    const on = alone ? ownStreak(goes, s.ownOpen, frame) : undefined
    const part = sourcePart(frame, s, on === undefined ? asked : streakSource(on, asked), view)
    const { image, replaced } = sourceLight(frame, s, !plain, part)
    const lit = cropImage(image, extentOf(image))
    if (on === undefined) return { lit, replaced, ways: on }
    return { lit: streak(lit, on, intersect(streakedRegion(on, lit.region), asked)), replaced, ways: on }
  }
  const bent = (one: Pictured, share: number, to: 'next' | 'before') => {
    if (into?.along !== true || one.goes === undefined) return source(one, asked)
    const between = bentAlong(one.goes, share, to, one.frame)
    const made = source(one, intersect(warpSource(between, asked), pictureOf(native)))
    const part = intersect(warpedRegion(between, made.lit.region), asked)
    return { ...made, lit: warp(made.lit, between, part).image }
  }
  const share = into?.share ?? 0
  const own = bent({ frame: native, goes }, share, 'next')
  const other = into && bent(into, 1 - share, 'before')
  const lit = other === undefined ? own.lit : crossed(own.lit, other.lit, share)
  const replaced = both(own.replaced, other?.replaced)
  const stands = place(lit, map, intersect(placing.touches(lit.region), needed), native, near)
  const base = { id: s.id, sensorShare: s.sensorShare, inCamera: plain ? undefined : s.inCamera }
  if (plain)
    return {
      sheet: {
        ...base,
        ...still({ image: stands, coverage: undefined }),
        variance: [0, 0, 0],
        emission: undefined,
      },
      replaced,
    }
  const emission = total ? moved(shine(stands, s, true), s.bend) : undefined
  const seen = cropImage(stands, after.needs(view.window))
  byStrips(seen, (strip) => {
    if (!total) shine(strip, s, false)
    applyHaze(strip, s.transmittance, s.airlight)
  })
  return {
    sheet: {
      ...base,
      ...throughLens(seen, s, ways, view),
      variance: ownVariance(s, native, map, { placed: ways, own: own.ways }, view.frame, share),
      emission,
    },
    replaced,
  }
}

/** Where it is carried and goes by itself too, one streak is made of both. */
function goesToo(
  { width, height }: NativeFrame,
  motion: OwnMotion | undefined,
  { ownOpen, plateOpen }: ElementSettings,
  { ends }: Exposed,
): GoesToo | undefined {
  if (motion === undefined || ownOpen === 0 || ends === undefined) return undefined
  const had = Math.sqrt(Math.max(plateOpen ** 2 - ownOpen ** 2, 0))
  return { motion, open: plateOpen, had, size: { width, height } }
}

/** Where an element can lie in the frame, whatever its picture holds. */
export function elementPlace(
  { frame: native, goes }: Pictured,
  s: ElementSettings,
  stand: Exposed,
  frame: Region,
  plain: boolean,
): Region {
  const { map } = stand
  const ways = plain ? undefined : streakIn(frame, s.bend, stand, goesToo(native, goes, s, stand))
  const after = plain ? POINTWISE : chained(hazeReach, lensReach(s, ways))
  const near = after.needs(frame)
  const reached = placeReach(map, native.width, native.height, near).touches(pictureOf(native))
  return intersect(after.touches(intersect(reached, near)), frame)
}

/** The emitter's middle lies where the lens draws it; what it gives stays. */
function moved(emission: Emission | undefined, bend: Bend | undefined): Emission | undefined {
  if (emission === undefined || bend === undefined) return emission
  const [x, y] = bend.drawn(emission.x, emission.y)
  return { ...emission, x, y }
}

/** Float samples of a whole frame are all looked at: the count of those that are no light is the file's. */
function sourcePart(
  native: NativeFrame,
  s: ElementSettings,
  needed: Region,
  { frame, window }: View,
): Region {
  const whole = window.width === frame.width && window.height === frame.height
  return native.layout.float && whole ? pictureOf(native) : alphaSupport(native, s.alpha, needed)
}

function place(
  light: FloatImage,
  map: PlaceMap,
  region: Region,
  { width, height }: NativeFrame,
  near: Region,
): FloatImage {
  if (isEmpty(region)) return newImage(EMPTY)
  if (!isCarried(map)) return resample(light, map, region)
  const carried = warpOf(map, width, height, near)
  return carried === undefined ? newImage(EMPTY) : warp(light, carried, region).image
}

function both(a: Replaced, b: Replaced | undefined): Replaced {
  return b === undefined ? a : { nan: a.nan + b.nan, infinite: a.infinite + b.infinite }
}
