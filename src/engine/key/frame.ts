/** One frame keyed: what a thread does with it. */
import { guidedChroma } from '../../chain/source/chroma/apply.js'
import { replaceNotFinite } from '../../chain/source/finite.js'
import { keyed } from '../../chain/source/key/apply.js'
import { measureScreen, type ScreenColour } from '../../chain/source/screen/measure.js'
import type { Screen } from '../../chain/source/screen/model.js'
import {
  type ColourEncoding,
  type FloatImage,
  type NativeFrame,
  type PixelLayout,
  told,
} from '../../core/index.js'
import { applyCurve, type Coding, duringFrame, pack, unpack } from '../../kernels/index.js'
import { tablesOf } from '../tables.js'

/** What does not change over a file. */
export interface KeyStart {
  readonly encoding: ColourEncoding
  readonly colour: ScreenColour
  /** Share of the screen's light on the element that is taken off, 0 to 1. */
  readonly spill: number
  readonly out: { readonly layout: PixelLayout; readonly encoding: ColourEncoding }
}

export interface KeyInput {
  readonly native: NativeFrame
  readonly number: number
  /** The screen to key it with though it shows none; null where none was seen before: the frame stays whole. */
  readonly before?: Screen | null
}

/** Without a frame where it shows no screen and none was given. */
export interface KeyMade {
  readonly screen?: Screen
  readonly frame?: NativeFrame
}

export function keyFrame(
  { encoding, colour, spill, out }: KeyStart,
  { native, number, before }: KeyInput,
): KeyMade {
  const light = lightOf(native, encoding)
  const seen = before === undefined ? measureScreen(light, number, colour) : undefined
  const screen = seen !== undefined && told(seen) ? seen.value : undefined
  const by = screen ?? before
  if (by === undefined) return {}
  const image = by === null ? light : keyed(light, by, { spill })
  const frame = duringFrame(() => pack(image, out.layout, out.encoding as Coding))
  return screen === undefined ? { frame } : { screen, frame }
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
