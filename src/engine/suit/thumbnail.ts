/** Small pictures through the viewing transform: an element by itself, the plate, and the one laid plainly over the other. */
import { conversion, reachesBeyondWhite, viewImage } from '../../colour/index.js'
import {
  type ColourEncoding,
  emptyImage,
  type FloatImage,
  type Region,
  samePrimaries,
} from '../../core/index.js'
import { applyGain, applyMatrix, over, resample } from '../../kernels/index.js'
import type { Thumbnail } from './types.js'

const WIDTH = 320
const HEIGHT = 180
/** What stands free is shown on middle grey, where dark smoke and bright sparks are both seen. */
const GREY = 0.18
/** Room around a placed element, as a share of its size. */
const ROOM = 1.7

/** @param free it has alpha, and is laid over middle grey */
export function thumbnailOf(image: FloatImage, encoding: ColourEncoding, free: boolean): Thumbnail {
  const { width, height } = image.region
  const s = Math.min(WIDTH / width, HEIGHT / height, 1)
  const region = {
    x: 0,
    y: 0,
    width: Math.max(1, Math.round(width * s)),
    height: Math.max(1, Math.round(height * s)),
  }
  const small = resample(image, { scaleX: s, scaleY: s, originX: 0, originY: 0 }, region)
  return viewed(free ? onGrey(small) : small, encoding, 0)
}

function onGrey(top: FloatImage): FloatImage {
  const ground = emptyImage(top.region)
  for (let i = 0; i < ground.data.length; i += 4) {
    ground.data.fill(GREY, i, i + 3)
    ground.data[i + 3] = 1
  }
  over(ground, top)
  return ground
}

export interface Laid {
  readonly element: FloatImage
  readonly encoding: ColourEncoding
  readonly at: { readonly x: number; readonly y: number }
  readonly scale: number
  readonly gain: number
}

/** The plate behind laid elements; the part around a place is kept, as many elements share it. */
export interface Ground {
  readonly image: FloatImage
  readonly encoding: ColourEncoding
  /** Exposure that it is viewed at. */
  readonly stops: number
  readonly parts: Map<string, FloatImage>
}

/** The element in its place, plainly: scaled, exposed and laid over, nothing fitted. */
export function laidThumbnail({ image: plate, encoding, stops, parts }: Ground, e: Laid): Thumbnail {
  const { width, height } = e.element.region
  const frame = plate.region
  const wide = Math.min(
    Math.max(e.scale * width * ROOM, (e.scale * height * ROOM * WIDTH) / HEIGHT, WIDTH / 2),
    frame.width,
  )
  const view = windowAt(e.at, wide, Math.min((wide * HEIGHT) / WIDTH, frame.height), frame)
  const s = Math.min(WIDTH / view.width, 1)
  const region = {
    x: 0,
    y: 0,
    width: Math.max(1, Math.round(view.width * s)),
    height: Math.max(1, Math.round(view.height * s)),
  }
  const key = `${view.x} ${view.y} ${view.width} ${view.height}`
  const part =
    parts.get(key) ??
    resample(plate, { scaleX: s, scaleY: s, originX: -view.x * s, originY: -view.y * s }, region)
  parts.set(key, part)
  const ground = { region: part.region, data: part.data.slice() }
  const scale = e.scale * s
  const originX = (e.at.x - view.x - (e.scale * width) / 2) * s
  const originY = (e.at.y - view.y - (e.scale * height) / 2) * s
  const top = resample(e.element, { scaleX: scale, scaleY: scale, originX, originY }, region)
  if (!samePrimaries(e.encoding.primaries, encoding.primaries))
    applyMatrix(top, conversion(e.encoding.primaries, encoding.primaries))
  if (e.gain !== 1) applyGain(top, [e.gain, e.gain, e.gain])
  over(ground, top)
  return viewed(ground, encoding, stops)
}

function windowAt(at: { x: number; y: number }, width: number, height: number, frame: Region): Region {
  const hold = (v: number, size: number, whole: number) => Math.min(Math.max(v - size / 2, 0), whole - size)
  return { x: hold(at.x, width, frame.width), y: hold(at.y, height, frame.height), width, height }
}

/** The whole plate, small. */
export function plateThumbnail(plate: FloatImage, encoding: ColourEncoding, stops: number): Thumbnail {
  const s = Math.min((2 * WIDTH) / plate.region.width, 1)
  const region = {
    x: 0,
    y: 0,
    width: Math.max(1, Math.round(plate.region.width * s)),
    height: Math.max(1, Math.round(plate.region.height * s)),
  }
  return viewed(resample(plate, { scaleX: s, scaleY: s, originX: 0, originY: 0 }, region), encoding, stops)
}

const DARKEST = -5
/** Shown middle that a picture has at most, a little above that of middle grey: as the report shows its plates. */
const MIDDLE = 132

/** Stops, 0 or less in halves, that bring a bright plate to where it can be judged. */
export function viewingStops(plate: FloatImage, encoding: ColourEncoding): number {
  if (!reachesBeyondWhite(encoding)) return 0
  for (let stops = 0; stops > DARKEST; stops -= 0.5) {
    const { rgb } = plateThumbnail(plate, encoding, stops)
    if ((Uint8Array.from(rgb).sort()[rgb.length >> 1] as number) <= MIDDLE) return stops
  }
  return DARKEST
}

function viewed(image: FloatImage, encoding: ColourEncoding, stops: number): Thumbnail {
  return {
    width: image.region.width,
    height: image.region.height,
    rgb: viewImage(image, encoding, { stops }),
  }
}
