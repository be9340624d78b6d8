/** How soft the plate is where an element is to stand, and how soft the element's own file is. */
import { measureBlur } from '../chain/lens/defocus/measure.js'
import { areaScale } from '../chain/place/raster/map.js'
import { placeReach } from '../chain/place/raster/reach.js'
import { type Sharpen, sharpenFor, unsharpened, withDoubt } from '../chain/sensor/sharpening/apply.js'
import { channelCurves, luminanceRow } from '../colour/index.js'
import {
  type ColourEncoding,
  type FloatImage,
  intersect,
  isEmpty,
  median,
  type Reading,
  type Region,
  robustSigma,
  told,
} from '../core/index.js'
import { cropImage, type Window } from '../kernels/index.js'
import type { Source } from '../media/index.js'
import type { Shot, ShotElement } from '../shot/schema.js'
import { type FitContext, sampleNear } from './context.js'
import { plateSharpening, spreadOfTreatment } from './inCamera.js'
import { makePlan, shotRange } from './plan.js'
import { standingOf } from './stand.js'
import { doubtedReading } from './trust.js'

/** Codecs that give every sample back; all others leave noise that hides a blur's rings. */
const LOSSLESS: ReadonlySet<string> = new Set([
  ...['png', 'tiff', 'exr', 'dpx', 'ffv1', 'rawvideo', 'v210', 'v410', 'huffyuv', 'ffvhuff', 'utvideo'],
])
/** What is looked at is at least and at most so wide and high, px. */
const LEAST = 160
const MOST = 256
/** Frames that are looked at, at most. */
const FRAMES = 3
/** How sure one is that what stands around an element is as far away as it is, beside a place that was named for that. */
const AROUND = 0.6

/** Frames of an element in light. */
export interface OwnFrames {
  readonly frames: readonly number[]
  readonly images: readonly FloatImage[]
}

/** Softness of a file in its own pixels, and plate pixels a pixel of it. */
export interface Own {
  readonly radius: number
  readonly scale: number
}

/**
 * Of the place that the element is compared with, else of what stands around its own place on frames that were sampled.
 *
 * @returns radius in plate pixels
 */
export function blurBeside(e: ShotElement, c: FitContext): Reading<number> {
  const place = e.compareWith
  const { plate } = c.sources
  const sharp = sharpOf(c.shot)
  if (place !== undefined) {
    const sample = sampleNear(c, place.frame)
    if (sample === undefined) return { cannotTell: 'the plate has no frame' }
    const region = held(place, sample.image.region)
    return look(sample.image, sample.frame, region, plate, sharp)
  }
  const stands = standsOn(e, c).slice(0, FRAMES)
  const seen = together(
    stands.map(({ sample, region }) => look(sample.image, sample.frame, region, plate, sharp)),
  )
  return doubtedReading(seen, AROUND)
}

/** Of the element's file, looked at as light over black and by what it covers. */
export function ownBlur(e: ShotElement, c: FitContext, { frames, images }: OwnFrames): Reading<Own> {
  const source = c.sources.elements.get(e.id)
  const scale = standsOn(e, c)[0]?.scale
  if (source === undefined || scale === undefined)
    return { cannotTell: 'it shows on none of the frames looked at' }
  const seen = together(
    images
      .slice(0, FRAMES)
      .map((image, i) => look(image, frames[i] as number, held(image.region, image.region), source)),
  )
  return told(seen) ? { ...seen, value: { radius: seen.value, scale } } : seen
}

/** Samples of the plate on which the element stands in the frame: around what, and how large. */
function standsOn(e: ShotElement, c: FitContext) {
  const plan = makePlan(c.shot, c.sources, { format: 'exr-half' })
  const picture = plan.elements[e.id]
  if (picture === undefined) return []
  const standing = standingOf(e, picture, plan)
  const { first } = shotRange(c.shot, plan.plate.frameCount)
  const frame = { x: 0, y: 0, width: plan.plate.width, height: plan.plate.height }
  const { width, height } = picture
  return c.samples.flatMap((sample) => {
    const map = standing(sample.frame - first)?.map
    if (map === undefined) return []
    const box = intersect(placeReach(map, width, height, frame).touches({ x: 0, y: 0, width, height }), frame)
    return isEmpty(box)
      ? []
      : [{ sample, region: held(box, frame), scale: Math.sqrt(areaScale(map, width, height)) }]
  })
}

/** A region about the middle of another, not too small and not too large, within the picture. */
function held(of: Region, picture: Region): Region {
  const side = (start: number, length: number, from: number, whole: number): [number, number] => {
    const long = Math.min(Math.max(length, LEAST), MOST, whole)
    const at = Math.round(start + (length - long) / 2)
    return [Math.min(Math.max(at, from), from + whole - long), long]
  }
  const [x, width] = side(of.x, of.width, picture.x, picture.width)
  const [y, height] = side(of.y, of.height, picture.y, picture.height)
  return { x, y, width, height }
}

/**
 * Of an element in a finished file, about the middle of a region. Grain lies on it that no lens has blurred, so its edges are asked, as
 * of a picture that a codec has changed.
 *
 * @param source what the picture was read from @param shot whose camera sharpened it
 */
export function blurOf(
  image: FloatImage,
  frame: number,
  region: Region,
  source: Source,
  shot: Shot,
): Reading<number> {
  return look(image, frame, held(region, image.region), source, sharpOf(shot), true)
}

/** What the plate's camera did to its edges; undefined where it did nothing, or nobody knows. */
function sharpOf(shot: Shot): Sharpened | undefined {
  const found = plateSharpening(shot)
  const sharp = sharpenFor(found, 0, 0, 1)
  const swing = shot.plate.treatments['sensor.overshoot']
  return sharp && { ...sharp, doubt: spreadOfTreatment(swing) / found.overshoot }
}

interface Sharpened extends Sharpen {
  /** Standard deviation of the overshoot, as a share of it. */
  readonly doubt: number
}

/**
 * @param sharp what is taken off before: sharpened edges look sharper than the lens drew them
 * @param coded what lies over it is not the lens's: what a codec left, or grain
 */
function look(
  image: FloatImage,
  frame: number,
  region: Region,
  { info }: Source,
  sharp?: Sharpened,
  coded = !LOSSLESS.has(info.codec),
): Reading<number> {
  const row = luminanceRow(info.encoding.primaries)
  const { data } = cropImage(image, region)
  const values = Float64Array.from({ length: data.length / 4 }, (_, p) => {
    const at = 4 * p
    return row[0] * data[at]! + row[1] * data[at + 1]! + row[2] * data[at + 2]! + 0.2 * data[at + 3]!
  })
  const window = { width: region.width, height: region.height, values }
  const read = measureBlur(
    sharp === undefined ? window : beforeSharpening(window, info.encoding, sharp),
    frame,
    region,
    coded,
  )
  if (!told(read)) return read
  const radius = { ...read, value: read.value.radius }
  return sharp === undefined ? radius : withDoubt(radius, sharp, sharp.doubt)
}

/** Luminance in light, worked on as codes. */
function beforeSharpening(light: Window, encoding: ColourEncoding, sharp: Sharpen): Window {
  const [, { encode, decode }] = channelCurves(encoding)
  const code = { ...light, values: Float64Array.from(light.values, encode) }
  const { values } = unsharpened(code, sharp)
  return { ...light, values: Float64Array.from(values, decode) }
}

/** The middle of what several frames say; they differ by more than each says of itself where things move. */
function together(looks: readonly Reading<number>[]): Reading<number> {
  const seen = looks.filter(told)
  const [one] = seen
  if (one === undefined) return looks[0] ?? { cannotTell: 'it shows on none of the frames looked at' }
  const values = seen.map((s) => s.value)
  const value = median(values)
  const nearest = seen.reduce((a, b) => (Math.abs(b.value - value) < Math.abs(a.value - value) ? b : a))
  const { evidence } = nearest
  if (evidence.kind !== 'measured' || seen.length === 1) return nearest
  const frames = seen.flatMap((s) => (s.evidence.kind === 'measured' ? s.evidence.frames : []))
  return {
    value,
    evidence: { ...evidence, frames, spread: Math.hypot(evidence.spread ?? 0, robustSigma(values)) },
  }
}
