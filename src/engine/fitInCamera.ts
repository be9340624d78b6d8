/** What the plate's camera did after its curve, and an element's: sharpening and softened chroma, from the straight edges of a few frames. */
import { measureSharpening, overshootAt, type SharpeningMeasure } from '../chain/sensor/sharpening/measure.js'
import { measureSoftChroma, type SoftChroma } from '../chain/sensor/softChroma/measure.js'
import { channelCurves } from '../colour/index.js'
import {
  type ColourEncoding,
  type Evidence,
  type FloatImage,
  intersect,
  type Reading,
  type Region,
  type Told,
  told,
} from '../core/index.js'
import { cropImage, type Here, type Window } from '../kernels/index.js'
import type { Source } from '../media/index.js'
import type { Shot, ShotElement, Treatment } from '../shot/schema.js'
import type { OwnFrames } from './blurBeside.js'
import { cached } from './cache/cached.js'
import type { Cache } from './cache/store.js'
import { codeOf } from './fitLens.js'
import { hasCodes, plateSharpening, weightsOfCodes } from './inCamera.js'
import { plateSettled } from './plateSettings.js'
import { type PlateSamples, spread } from './samples.js'
import { factsOf } from './sources.js'

/** Frames that are looked at, and how much of the middle of each, px: more of one take tell hardly more. */
const FRAMES = 2
const WIDEST = { width: 1024, height: 576 }
/** What swings less is not seen, or lies within so many spreads of nothing: none. */
const LEAST = 0.01
const LEAST_PX = 0.3
const STANDS_OUT = 2
/** Code over which what covers is laid, so that its outline is an edge. */
const GREY = 0.4
export const NO_CODES = 'its file holds light, which no camera has worked on after a curve'

export async function fitInCamera(
  plate: Source,
  { numbers, read }: PlateSamples,
  cache: Cache | undefined,
): Promise<Shot['plate']['treatments']> {
  const key = { kind: 'in-camera', of: [plate.content], how: { numbers, plate: factsOf(plate) } }
  const { sharpening, chroma } = await cached(cache, key, async () => {
    const all = hasCodes(plate.info.encoding) ? await read() : []
    const picked = spread(0, all.length - 1, FRAMES).flatMap((i) => all[i] ?? [])
    return processingOf(
      picked.map((s) => ({ frame: s.frame, image: middleOf(s.image) })),
      plate,
    )
  })
  const soft: Treatment = told(chroma)
    ? treatment(seen(chroma.value.blur, LEAST_PX, chroma.evidence), chroma)
    : chroma
  if (!told(sharpening)) return { 'sensor.overshoot': sharpening, 'sensor.chromaBlur': soft }
  const { overshoot, width, radius } = sharpening.value
  const swings = seen(overshoot, LEAST, sharpening.evidence)
  return {
    'sensor.overshoot': treatment(swings, sharpening),
    ...(swings > 0
      ? {
          'sensor.overshootWidth': treatment(width, sharpening),
          'sensor.overshootRadius': treatment(radius, sharpening),
        }
      : {}),
    'sensor.chromaBlur': soft,
  }
}

/** Of an element's own file, laid over grey where it covers; not looked for where its plate has nothing to give it. */
export function fitOwnInCamera(
  e: ShotElement,
  shot: Shot,
  source: Source | undefined,
  { frames, images }: OwnFrames,
): Record<string, Treatment> {
  const given = (['sensor.overshoot', 'sensor.chromaBlur'] as const).some(
    (name) => (plateSettled(shot, name)?.[0] ?? 0) > 0,
  )
  if (source === undefined || !given) return {}
  const grey = channelCurves(source.info.encoding).map(({ decode }) => decode(GREY))
  const picked = spread(0, images.length - 1, FRAMES).flatMap((i) => {
    const [image, frame] = [images[i], frames[i]]
    if (image === undefined || frame === undefined) return []
    const own = middleOf(image)
    return [{ frame, image: e.alpha === 'on-black' ? own : over(own, grey) }]
  })
  const { sharpening, chroma } = processingOf(picked, source)
  const swing = told(sharpening) ? overshootAt(sharpening, plateSharpening(shot).width) : sharpening
  return {
    'sensor.elementOvershoot': told(swing) ? treatment(Math.max(swing.value, 0), swing) : swing,
    'sensor.elementChromaBlur': told(chroma)
      ? treatment(seen(chroma.value.blur, LEAST_PX, chroma.evidence), chroma)
      : chroma,
  }
}

function treatment(value: number, { evidence }: Told<unknown>): Treatment {
  return { value: [value], evidence } as Treatment
}

/** Nothing where it is hardly something. */
function seen(value: number, least: number, evidence: Evidence): number {
  const open = evidence.kind === 'measured' ? (evidence.spread ?? 0) : 0
  return value < Math.max(least, STANDS_OUT * open) ? 0 : value
}

export interface Lit {
  readonly frame: number
  /** Linear light. */
  readonly image: FloatImage
  /** Where edges are looked for, from the picture's corner on; undefined: everywhere. */
  readonly here?: Here
}

export interface Processing {
  readonly sharpening: Reading<SharpeningMeasure>
  readonly chroma: Reading<SoftChroma>
}

/** What a file's frames show. @param most edges that each meter looks at; undefined: as many as it likes */
export function processingOf(lit: readonly Lit[], source: Source, most?: number): Processing {
  const { encoding } = source.info
  if (!hasCodes(encoding)) return { sharpening: { cannotTell: NO_CODES }, chroma: { cannotTell: NO_CODES } }
  const codes = lit.map(({ image, ...rest }) => ({ ...rest, ...planesOf(codeOf(image, source), encoding) }))
  const sharpening = measureSharpening(codes, channelCurves(encoding)[1], most)
  const sharp = told(sharpening) && sharpening.value.amount > 0 ? sharpening.value : undefined
  return { sharpening, chroma: measureSoftChroma(codes, sharp, most) }
}

/** [bt709]'s way with the file's weights. */
function planesOf(
  { region, data }: FloatImage,
  encoding: ColourEncoding,
): Record<'luma' | 'cb' | 'cr', Window> {
  const { kr, kb } = weightsOfCodes(encoding)
  const { width, height } = region
  const plane = () => new Float64Array(width * height)
  const [luma, cb, cr] = [plane(), plane(), plane()]
  for (let p = 0, i = 0; p < luma.length; p++, i += 4) {
    const [r, b] = [data[i] as number, data[i + 2] as number]
    const y = kr * r + (1 - kr - kb) * (data[i + 1] as number) + kb * b
    luma[p] = y
    cb[p] = (b - y) / (2 * (1 - kb))
    cr[p] = (r - y) / (2 * (1 - kr))
  }
  const window = (values: Float64Array): Window => ({ width, height, values })
  return { luma: window(luma), cb: window(cb), cr: window(cr) }
}

function middleOf(image: FloatImage): FloatImage {
  const { x, y, width, height } = image.region
  const [w, h] = [Math.min(width, WIDEST.width), Math.min(height, WIDEST.height)]
  const part: Region = {
    x: x + Math.floor((width - w) / 2),
    y: y + Math.floor((height - h) / 2),
    width: w,
    height: h,
  }
  return w === width && h === height ? image : cropImage(image, intersect(part, image.region))
}

/** Premultiplied light over a level of each channel. */
function over({ region, data }: FloatImage, level: readonly number[]): FloatImage {
  const out = new Float32Array(data.length)
  for (let i = 0; i < data.length; i += 4) {
    const left = 1 - (data[i + 3] as number)
    for (let c = 0; c < 3; c++) out[i + c] = (data[i + c] as number) + left * (level[c] as number)
    out[i + 3] = 1
  }
  return { region, data: out }
}
