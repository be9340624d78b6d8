/** Decoded frames picked over a clip, as linear light: what the meters look at. */
import type { ElementSettings } from '../chain/element.js'
import { withoutVignette } from '../chain/lens/vignette/apply.js'
import type { Vignette } from '../chain/lens/vignette/model.js'
import type { GrainSample } from '../chain/sensor/grain/measure.js'
import { elementFrame } from '../chain/shutter/cadence/model.js'
import { replaceNotFinite } from '../chain/source/finite.js'
import { sourceLight } from '../chain/sourceLight.js'
import { channelCurves } from '../colour/index.js'
import type { ColourEncoding, FloatImage, NativeFrame } from '../core/index.js'
import { applyCurve, unpack } from '../kernels/index.js'
import type { Source } from '../media/index.js'
import type { Shot, ShotElement } from '../shot/schema.js'
import { cadenceOf } from './cadence.js'
import { pictureOf, type ShotSources } from './plan.js'
import { tablesOf } from './tables.js'

/** A whole frame in linear light of its own primaries. */
export function linearFrame(frame: NativeFrame, encoding: ColourEncoding): FloatImage {
  const image = unpack(frame, encoding, { x: 0, y: 0, width: frame.width, height: frame.height })
  replaceNotFinite(image)
  applyCurve(image, tablesOf(encoding, 'decode'))
  return image
}

/** `count` whole numbers spread over first … last, both ends included. */
export function spread(first: number, last: number, count: number): number[] {
  if (last <= first || count < 2) return [first]
  const picks = Array.from({ length: count }, (_, i) =>
    Math.round(first + ((last - first) * i) / (count - 1)),
  )
  return [...new Set(picks)]
}

/** Where the code of a file ends in linear light, in the channel that ends first; float files end nowhere. */
export function clipLevel({ info: { layout, encoding } }: Pick<Source, 'info'>): number {
  return layout.float
    ? Number.POSITIVE_INFINITY
    : Math.min(...channelCurves(encoding).map(({ decode }) => decode(1)))
}

/** Samples of a plate that are decoded when somebody looks at them, and once. */
export interface PlateSamples {
  /** Frames that are looked at, with the next one of each; counted from the plate's first. */
  readonly numbers: readonly number[]
  readonly read: () => Promise<readonly GrainSample[]>
}

export function plateSamples(source: Source, numbers: readonly number[]): PlateSamples {
  let samples: Promise<readonly GrainSample[]> | undefined
  const read = () => {
    samples ??= platePairs(source, numbers)
    return samples
  }
  return { numbers, read }
}

/**
 * Pairs of successive plate frames over the shot; `numbers` count from the plate's first. They become light when a meter looks at
 * them, and not before: what it read of them may be known already.
 */
export async function platePairs(source: Source, numbers: readonly number[]): Promise<GrainSample[]> {
  const samples: GrainSample[] = []
  for (const frame of numbers) {
    const pair: (() => FloatImage)[] = []
    for await (const native of source.frames(frame, 2)) pair.push(lightOnDemand(native, source.info.encoding))
    const [image, after] = pair
    if (image !== undefined) samples.push(new LazySample(frame, image, after))
  }
  return samples
}

class LazySample implements GrainSample {
  readonly frame: number
  readonly #image: () => FloatImage
  readonly #after: (() => FloatImage) | undefined

  constructor(frame: number, image: () => FloatImage, after: (() => FloatImage) | undefined) {
    this.frame = frame
    this.#image = image
    this.#after = after
  }

  get image(): FloatImage {
    return this.#image()
  }

  get after(): FloatImage | undefined {
    return this.#after?.()
  }
}

/** The frame in linear light, made at the first call; its own samples are let go then. */
function lightOnDemand(frame: NativeFrame, encoding: ColourEncoding): () => FloatImage {
  let native: NativeFrame | undefined = frame
  let light: FloatImage | undefined
  return () => {
    if (native !== undefined) light = linearFrame(native, encoding)
    native = undefined
    return light as FloatImage
  }
}

/** Up to `count` of the element's frames that show in the shot, as the source link gives them. */
export async function elementLight(
  e: ShotElement,
  shot: Shot,
  sources: ShotSources,
  settings: ElementSettings,
  shotFrames: number,
  count: number,
): Promise<{ frames: number[]; images: FloatImage[] }> {
  const source = sources.elements.get(e.id)
  if (source === undefined) return { frames: [], images: [] }
  const cadence = cadenceOf(e, pictureOf(source.info), pictureOf(sources.plate.info), shot)
  const last =
    e.time?.loop === undefined
      ? (elementFrame(cadence, shotFrames - 1) ?? source.info.frameCount - 1)
      : e.time.loop.first + e.time.loop.count - 1
  const frames = spread(Math.min(e.trimFrames, last), last, count)
  const images: FloatImage[] = []
  for (const frame of frames) {
    for await (const native of source.frames(frame, 1)) images.push(sourceLight(native, settings, true).image)
  }
  return { frames, images }
}

/** The same frames each with the one after it, where the element has one. */
export async function withAfters(
  frames: readonly number[],
  images: readonly FloatImage[],
  source: Source,
  settings: ElementSettings,
): Promise<GrainSample[]> {
  const samples: GrainSample[] = []
  for (const [i, frame] of frames.entries()) {
    let after: FloatImage | undefined
    if (frame + 1 < source.info.frameCount)
      for await (const native of source.frames(frame + 1, 1))
        after = sourceLight(native, settings, true).image
    const image = images[i]
    if (image !== undefined) samples.push({ frame, image, after })
  }
  return samples
}

/** A frame as it fell on the lens; the frame itself where that dims nothing. */
export function flattened(image: FloatImage, vignette: Vignette | undefined): FloatImage {
  return vignette === undefined ? image : withoutVignette(image, vignette)
}

/** The same of samples, at the first look, without the frames after: grain is not measured so. */
export function flatSamples(
  samples: readonly GrainSample[],
  vignette: Vignette | undefined,
): readonly GrainSample[] {
  if (vignette === undefined) return samples
  const lazily = (of: () => FloatImage) => {
    let flat: FloatImage | undefined
    return () => {
      flat ??= withoutVignette(of(), vignette)
      return flat
    }
  }
  return samples.map(
    (s) =>
      new LazySample(
        s.frame,
        lazily(() => s.image),
        undefined,
      ),
  )
}
