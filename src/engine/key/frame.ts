/** One frame keyed: what a thread does with it. */
import { coveredAt, triangulated } from '../../chain/source/backings/apply.js'
import { guidedChroma } from '../../chain/source/chroma/apply.js'
import { replaceNotFinite } from '../../chain/source/finite.js'
import { keyed } from '../../chain/source/key/apply.js'
import { type Areas, COVERED, OUTSIDE } from '../../chain/source/screen/areas.js'
import { measureScreen, type ScreenColour } from '../../chain/source/screen/measure.js'
import type { Screen } from '../../chain/source/screen/model.js'
import {
  type ColourEncoding,
  type FloatImage,
  median,
  type NativeFrame,
  type PixelLayout,
  told,
} from '../../core/index.js'
import { applyCurve, type Coding, duringFrame, pack, unpack } from '../../kernels/index.js'
import { tablesOf } from '../tables.js'

/** By the screen behind it. */
export interface ByScreen {
  readonly kind: 'screen'
  /** Its colour, or the roots of a clean plate. */
  readonly of: ScreenColour | FloatImage
  /** Share of the screen's light on the element that is taken off, 0 to 1. */
  readonly spill: number
}

/** By two backings that are known: their light. */
export interface ByBackings {
  readonly kind: 'backings'
  readonly first: FloatImage
  readonly second: FloatImage
  /** Of the second file. */
  readonly encoding: ColourEncoding
}

/** What does not change over a file. */
export interface KeyStart {
  readonly encoding: ColourEncoding
  readonly how: ByScreen | ByBackings
  readonly areas: Areas | undefined
  /** Part of a frame for which the shutter was open, where a person says it. */
  readonly shutter: number | undefined
  readonly out: { readonly layout: PixelLayout; readonly encoding: ColourEncoding }
}

export interface KeyInput {
  readonly native: NativeFrame
  readonly number: number
  /** The same frame before the second backing. */
  readonly other?: NativeFrame
  /** The screen to key it with though it shows none; null where none was seen before: the frame stays whole. */
  readonly before?: Screen | null
}

/** What a pair of frames shows of its two backings, by shares of its pixels. */
export interface BackingsSeen {
  /** Too much alike to tell anything. */
  readonly alike: number
  /** Of a coverage that nothing has: the backings are others than those that were given. */
  readonly impossible: number
  /** Half bare and more. */
  readonly bare: number
}

/** Without a frame where it shows no screen and none was given. */
export interface KeyMade {
  readonly screen?: Screen
  readonly frame?: NativeFrame
  /** Of two backings. */
  readonly backings?: BackingsSeen
}

export function keyFrame(start: KeyStart, input: KeyInput): KeyMade {
  const light = lightOf(input.native, start.encoding)
  return start.how.kind === 'screen'
    ? byScreen(light, start, start.how, input)
    : byBackings(light, start, start.how, input)
}

function byScreen(
  light: FloatImage,
  start: KeyStart,
  { of, spill }: ByScreen,
  { number, before }: KeyInput,
): KeyMade {
  const { areas } = start
  const seen = before === undefined ? measureScreen(light, number, of, areas) : undefined
  const screen = seen !== undefined && told(seen) ? seen.value : undefined
  const by = screen ?? before
  if (by === undefined) return {}
  const clean = 'data' in of ? of : undefined
  const image = by === null ? light : keyed(light, by, { spill, clean, areas })
  return { ...(screen && { screen }), frame: packed(image, start) }
}

/** Of α that are looked at for the noise of a bare backing: one of so many, and within so much of nothing. */
const EVERY = 37
const BARE = 0.1
const LEAST_BARE = 100
/** How far α may be beyond 0 and 1 by noise and by backings that are not quite what was given. */
const BEYOND = 0.25

function byBackings(light: FloatImage, start: KeyStart, how: ByBackings, { other }: KeyInput): KeyMade {
  if (other === undefined) throw new Error('the second file has no such frame')
  const first = { light, backing: how.first }
  const second = { light: lightOf(other, how.encoding), backing: how.second }
  const bare: number[] = []
  let [looked, open, impossible] = [0, 0, 0]
  for (let i = 0; i < light.data.length; i += 4 * EVERY) {
    const share = coveredAt(first, second, i)
    if (share === undefined) continue
    looked++
    if (share < 0.5) open++
    if (Math.abs(share - 0.5) > 0.5 + BEYOND) impossible++
    if (Math.abs(share) < BARE) bare.push(Math.abs(share))
  }
  const unsure = bare.length < LEAST_BARE ? 0 : 1.482602 * median(bare)
  const { image, alike } = triangulated(first, second, unsure)
  for (let p = 0; start.areas !== undefined && p < start.areas.length; p++) {
    if (start.areas[p] === OUTSIDE) image.data.fill(0, 4 * p, 4 * p + 4)
    if (start.areas[p] === COVERED) image.data[4 * p + 3] = 1
  }
  const of = (n: number) => n / Math.max(looked, 1)
  const seen = { alike: (4 * alike) / light.data.length, impossible: of(impossible), bare: of(open) }
  return { frame: packed(image, start), backings: seen }
}

export function packed(image: FloatImage, { out }: KeyStart): NativeFrame {
  return duringFrame(() => pack(image, out.layout, out.encoding as Coding))
}

/** A frame's light, chroma where luma says that it belongs. */
export function lightOf(native: NativeFrame, encoding: ColourEncoding): FloatImage {
  return duringFrame(() => {
    const { width, height } = native
    const frame = guidedChroma(native, encoding)
    const image = unpack(frame, encoding as Coding, { x: 0, y: 0, width, height })
    if (native.layout.float) replaceNotFinite(image)
    applyCurve(image, tablesOf(encoding, 'decode'))
    for (let i = 3; i < image.data.length; i += 4) image.data[i] = 1
    return { region: image.region, data: Float32Array.from(image.data) }
  })
}
