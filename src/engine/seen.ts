/** Gathers what the compares look at: frames of the finished file beside the plate, and each element as the chain placed it. */
import type { Seen, SeenElement } from '../chain/compare.js'
import type { Layer } from '../chain/element.js'
import type { Bend } from '../chain/lens/bend.js'
import { areaScale, isCarried, type PlaceMap, placed, standsAt } from '../chain/place/raster/map.js'
import { luminanceRow } from '../colour/index.js'
import { EMPTY, type FloatImage, intersect, type Region } from '../core/index.js'
import { applyCurve, cropImage } from '../kernels/index.js'
import type { Source } from '../media/index.js'
import type { Shot, ShotElement } from '../shot/schema.js'
import { strengthOf } from '../shot/strength.js'
import { type FrameInput, FrameMaker } from './frame.js'
import { frameInputs } from './inputs.js'
import { makePlan, type Picture, type Plan, type ShotSources, shotRange } from './plan.js'
import { bendOf } from './plateSettings.js'
import { linearFrame } from './samples.js'
import { standingOf } from './stand.js'
import { tablesOf } from './tables.js'

export interface Look {
  readonly seen: Seen
  /** The finished file. */
  readonly file: Source
  /** Elements that show on this frame. */
  readonly elements: readonly (SeenElement &
    Pick<Layer, 'emission' | 'variance'> & {
      /** Where it can lie itself, without the skirt that the lens draws around it. */
      readonly body: Region
    })[]
}

/** Looks at `numbers` (frames of the shot, ascending), one at a time. */
export async function* looks(
  shot: Shot,
  sources: ShotSources,
  rendered: Source,
  numbers: readonly number[],
): AsyncGenerator<Look, void, undefined> {
  const plan = makePlan(shot, sources, { format: 'exr-half', grain: false })
  const maker = new FrameMaker(plan)
  const { first } = shotRange(shot, sources.plate.info.frameCount)
  for await (const input of frameInputs(shot, sources, numbers)) {
    const own = await pair(sources.plate, first + input.number)
    const result = await pair(rendered, input.number)
    if (own.now === undefined || result.now === undefined) return
    const { now, blurred } = blurredPlate(own.now, input, maker, plan)
    const plate = { ...own, now }
    const { layers } = maker.layers(input)
    const places = maker.places(input)
    const bodies = maker.bodies(input)
    // Linear EXR is what the chain holds before any delivery.
    const predicted = maker.compose(input, layers).frame
    const [keep, touched] = coverage(layers, plan)
    fillRegion(touched, blurred, plan.plate.width)
    const code = (image: FloatImage) => toCode(image, plan)
    const seen: Seen = {
      frame: input.number,
      plate: plate.now,
      rendered: result.now,
      predicted: linearFrame(predicted, plan.delivery.encoding),
      plateCode: code(plate.now),
      renderedCode: code(result.now),
      plateAfter: plate.after,
      renderedAfter: result.after,
      keep,
      touched: markSurfaces(touched, shot, plan),
    }
    const elements = layers.map((layer) => {
      const e = shot.elements.find((x) => x.id === layer.id) as ShotElement
      return {
        ...seenElement(layer, places.get(layer.id) ?? EMPTY, e, plan, input.number),
        body: bodies.get(layer.id) ?? EMPTY,
        holdout: maker.hidden(input, layer.id),
        emission: layer.emission,
        variance: layer.variance,
      }
    })
    yield { seen, file: rendered, elements }
  }
}

async function pair(
  source: Source,
  frame: number,
): Promise<{ now: FloatImage | undefined; after: FloatImage | undefined }> {
  const images: FloatImage[] = []
  for await (const native of source.frames(frame, 2)) images.push(linearFrame(native, source.info.encoding))
  return { now: images[0], after: images[1] }
}

/** In the plate's code values. */
export function toCode(image: FloatImage, plan: Plan): FloatImage {
  const copy = { region: image.region, data: image.data.slice() }
  applyCurve(copy, tablesOf(plan.plate.encoding, 'encode'))
  return copy
}

function coverage(layers: readonly Layer[], plan: Plan): [Float32Array, Uint8Array] {
  const { width, height } = plan.plate
  const keep = new Float32Array(width * height).fill(1)
  const touched = new Uint8Array(width * height)
  for (const { image, coverage } of layers) {
    const { region: r, data } = image
    for (let y = 0, i = 0; y < r.height; y++) {
      for (let x = 0; x < r.width; x++, i += 4) {
        const a = data[i + 3] as number
        const red = coverage?.data[i] ?? 0
        const blue = coverage?.data[i + 2] ?? 0
        if (a === 0 && red === 0 && blue === 0 && data[i] === 0 && data[i + 1] === 0 && data[i + 2] === 0)
          continue
        const p = (y + r.y) * width + x + r.x
        keep[p] = (keep[p] as number) * (1 - a)
        touched[p] = 1
      }
    }
  }
  return [keep, touched]
}

/** The plate as elements stand before it: blurred where the document blurs it, without the grain that is then added. */
function blurredPlate(
  own: FloatImage,
  input: FrameInput,
  maker: FrameMaker,
  { shot, delivery }: Plan,
): { now: FloatImage; blurred: Region } {
  if (shot.plate.blur === undefined) return { now: own, blurred: EMPTY }
  const { frame, touched } = maker.compose(input, [])
  const changed = cropImage(linearFrame(frame, delivery.encoding), touched)
  const now = { region: own.region, data: own.data.slice() }
  for (let y = 0; y < touched.height; y++) {
    const row = changed.data.subarray(4 * y * touched.width, 4 * (y + 1) * touched.width)
    now.data.set(row, 4 * ((touched.y + y) * own.region.width + touched.x))
  }
  return { now, blurred: touched }
}

function fillRegion(touched: Uint8Array, r: Region, width: number): void {
  for (let y = r.y; y < r.y + r.height; y++) touched.fill(1, y * width + r.x, y * width + r.x + r.width)
}

/** Boxes of surfaces that answer a light count as touched whole. */
function markSurfaces(touched: Uint8Array, shot: Shot, plan: Plan): Uint8Array {
  const { width, height } = plan.plate
  for (const s of shot.elements.flatMap((e) => e.lights ?? [])) {
    const xs = s.polygon.map((p) => p[0])
    const ys = s.polygon.map((p) => p[1])
    const x = Math.floor(Math.min(...xs) - s.featherPx)
    const y = Math.floor(Math.min(...ys) - s.featherPx)
    const box = { x, y, width: Math.max(...xs) + s.featherPx - x, height: Math.max(...ys) + s.featherPx - y }
    const r = intersect(box, { x: 0, y: 0, width, height })
    fillRegion(touched, { ...r, width: Math.ceil(r.x + r.width) - r.x }, width)
  }
  return touched
}

function seenElement(
  layer: Layer,
  place: Region,
  e: ShotElement,
  plan: Plan,
  number: number,
): Omit<SeenElement, 'holdout'> {
  const { width, height } = plan.plate
  const alpha = new Float32Array(width * height)
  const light = new Float32Array(width * height)
  const [kr, kg, kb] = luminanceRow(plan.plate.encoding.primaries)
  const { region: r, data } = layer.image
  for (let y = 0, i = 0; y < r.height; y++) {
    for (let x = 0; x < r.width; x++, i += 4) {
      const p = (y + r.y) * width + x + r.x
      alpha[p] = data[i + 3] as number
      light[p] = kr * (data[i] as number) + kg * (data[i + 1] as number) + kb * (data[i + 2] as number)
    }
  }
  const picture = plan.elements[e.id] as Picture
  const map = standingOf(e, picture, plan)(number)?.map as PlaceMap
  return {
    id: e.id,
    alpha,
    light,
    region: place,
    ...boxOf(map, picture, bendOf(plan, strengthOf(e, 'lens'))),
  }
}

/** Edges of an element's own picture, and how they come to be drawn in the plate. */
function boxOf(
  map: PlaceMap,
  { width, height }: Picture,
  lens: Bend | undefined,
): Pick<SeenElement, 'box' | 'bend'> {
  if (!isCarried(map)) {
    const [left, top] = placed(map, 0, 0)
    const [right, bottom] = placed(map, width, height)
    return { box: { left, top, right, bottom }, bend: lens }
  }
  const scale = Math.sqrt(areaScale(map, width, height))
  const back = standsAt(map)
  const drawn = (x: number, y: number): [number, number] => {
    const [u, v] = placed(map, x / scale, y / scale)
    return lens === undefined ? [u, v] : lens.drawn(u, v)
  }
  const straight = (x: number, y: number): [number, number] => {
    const [u, v] = back(...(lens === undefined ? ([x, y] as const) : lens.straight(x, y)))
    return [scale * u, scale * v]
  }
  return { box: { left: 0, top: 0, right: scale * width, bottom: scale * height }, bend: { drawn, straight } }
}
