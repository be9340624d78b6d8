/** One frame keyed: what a thread does with it. */
import { coveredAt, triangulated } from '../../chain/source/backings/apply.js'
import { guidedChroma } from '../../chain/source/chroma/apply.js'
import { type EdgeWays, withEdges } from '../../chain/source/edge/apply.js'
import { replaceNotFinite } from '../../chain/source/finite.js'
import { keyed } from '../../chain/source/key/apply.js'
import { cutOut } from '../../chain/source/matte/apply.js'
import { withMatte } from '../../chain/source/moving/light.js'
import { type Areas, COVERED, FREE, OUTSIDE } from '../../chain/source/screen/areas.js'
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
import type { MattesAt } from './mattes.js'

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

/** By a matte that comes as a file. */
export interface ByMatte {
  readonly kind: 'matte'
  /** Light of the ground behind, where it is known: what of it shines through is taken off. */
  readonly ground: FloatImage | undefined
  readonly spill: number
}

/** What does not change over a file. */
export interface KeyStart {
  readonly encoding: ColourEncoding
  readonly how: ByScreen | ByBackings | ByMatte
  readonly areas: Areas | undefined
  /** Part of a frame for which the shutter was open, where a person says it. */
  readonly shutter: number | undefined
  /** Whether frames are looked at beside each other afterwards. */
  readonly beside: boolean
  readonly edge: EdgeWays
  readonly out: { readonly layout: PixelLayout; readonly encoding: ColourEncoding }
}

export interface KeyInput {
  readonly native: NativeFrame
  readonly number: number
  /** The same frame before the second backing. */
  readonly other?: NativeFrame
  readonly mattes?: MattesAt | undefined
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
  const { how } = start
  if (how.kind === 'screen') return byScreen(light, start, how, input)
  if (how.kind === 'backings') return byBackings(light, start, how, input)
  const image = cutOut(light, input.mattes?.matte as Float32Array, how)
  drawn(image, start.areas)
  return { frame: packed(dressed(image, start, input.mattes), start) }
}

function byScreen(
  light: FloatImage,
  start: KeyStart,
  { of, spill }: ByScreen,
  { number, before, mattes }: KeyInput,
): KeyMade {
  const areas = withCovered(start.areas, mattes?.covered)
  const seen = before === undefined ? measureScreen(light, number, of, areas) : undefined
  const screen = seen !== undefined && told(seen) ? seen.value : undefined
  const by = screen ?? before
  if (by === undefined) return {}
  const clean = 'data' in of ? of : undefined
  const image = by === null ? light : keyed(light, by, { spill, clean, areas })
  const frame = packed(start.beside ? image : dressed(image, start, mattes), start)
  return { ...(screen && { screen }), frame }
}

/** What a file says is surely the element is, as if it was drawn. */
function withCovered(areas: Areas | undefined, covered: Float32Array | undefined): Areas | undefined {
  if (covered === undefined) return areas
  const out = areas?.slice() ?? new Uint8Array(covered.length).fill(FREE)
  for (let p = 0; p < covered.length; p++) if ((covered[p] as number) > 0.5) out[p] = COVERED
  return out
}

/** The key's picture with its edges where they are asked for, and what mattes take from it or add. */
export function dressed(image: FloatImage, { edge }: KeyStart, mattes: MattesAt | undefined): FloatImage {
  const { covered, outside } = mattes ?? {}
  if (edge.out === 0 && edge.wider === 0 && covered === undefined && outside === undefined) return image
  const { width, height } = image.region
  const own = Float32Array.from({ length: width * height }, (_, p) => image.data[4 * p + 3] as number)
  const alpha = withEdges(own, { width, height }, edge)
  const made = alpha.map(
    (a, p) => Math.max(a, covered?.[p] ?? 0) * (1 - (outside === undefined ? 0 : (outside[p] as number))),
  )
  return withMatte(image, made)
}

/** Of α that are looked at for the noise of a bare backing: one of so many, and within so much of nothing. */
const EVERY = 37
const BARE = 0.1
const LEAST_BARE = 100
/** How far α may be beyond 0 and 1 by noise and by backings that are not quite what was given. */
const BEYOND = 0.25

function byBackings(light: FloatImage, start: KeyStart, how: ByBackings, input: KeyInput): KeyMade {
  const { other, mattes } = input
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
  drawn(image, start.areas)
  const of = (n: number) => n / Math.max(looked, 1)
  const seen = { alike: (4 * alike) / light.data.length, impossible: of(impossible), bare: of(open) }
  return { frame: packed(dressed(image, start, mattes), start), backings: seen }
}

/** In place: what a person drew. */
function drawn(image: FloatImage, areas: Areas | undefined): void {
  for (let p = 0; areas !== undefined && p < areas.length; p++) {
    if (areas[p] === OUTSIDE) image.data.fill(0, 4 * p, 4 * p + 4)
    if (areas[p] === COVERED) image.data[4 * p + 3] = 1
  }
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
    return { region: image.region, data: image.data.slice() }
  })
}
