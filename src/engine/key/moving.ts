/** A keyed frame beside those before and after it: what a thread does with the three. */
import { lookUp, type OwnMotion } from '../../chain/shutter/ownMotion/model.js'
import { withMatte } from '../../chain/source/moving/light.js'
import { type Beside, steadied } from '../../chain/source/moving/steady.js'
import { streaksBack } from '../../chain/source/moving/streak.js'
import { edgeBlocks, type Rough, type Ways, waysBetween } from '../../chain/source/moving/ways.js'
import type { FloatImage, NativeFrame } from '../../core/index.js'
import { type Coding, duringFrame, unpack } from '../../kernels/index.js'
import { dressed, type KeyStart, packed } from './frame.js'
import type { MattesAt } from './mattes.js'

export interface MovingInput {
  readonly own: NativeFrame
  readonly before?: NativeFrame
  readonly after?: NativeFrame
  /** Roughly, by the flow. */
  readonly motion?: OwnMotion
  readonly mattes?: MattesAt | undefined
}

export interface MovingMade {
  readonly frame: NativeFrame
  /** Part of a frame for which the shutter was open, where streaks tell it or it was given. */
  readonly shutter?: number
}

export function besideOthers(
  start: KeyStart,
  { own, before, after, motion, mattes }: MovingInput,
): MovingMade {
  const image = premultiplied(own, start)
  if (motion === undefined) return { frame: packed(dressed(image, start, mattes), start) }
  const blocks = edgeBlocks(image)
  const at = lookUp(motion)
  const side = (frame: NativeFrame | undefined, first: 0 | 2): Beside | undefined => {
    if (frame === undefined) return undefined
    const other = premultiplied(frame, start)
    return { image: other, ways: waysBetween(image, other, roughly(at, first), blocks) }
  }
  const [past, next] = [side(before, 0), side(after, 2)]
  const both = [past, next].filter((b) => b !== undefined)
  const steady = steadied(image, both, blocks)
  const { alpha, shutter } = streaksBack(image, steady, waysOf(past), waysOf(next), start.shutter)
  const frame = packed(dressed(withMatte(image, alpha), start, mattes), start)
  return { frame, ...(shutter !== undefined && { shutter }) }
}

function waysOf(beside: Beside | undefined): Ways | undefined {
  return beside?.ways
}

function roughly(at: ReturnType<typeof lookUp>, first: 0 | 2): Rough {
  const four = new Float64Array(4)
  return (x, y, out) => {
    at(x, y, four)
    out[0] = four[first] as number
    out[1] = four[first + 1] as number
  }
}

function premultiplied(frame: NativeFrame, { out }: KeyStart): FloatImage {
  return duringFrame(() => {
    const { width, height } = frame
    const { region, data } = unpack(frame, out.encoding as Coding, { x: 0, y: 0, width, height })
    return { region, data: Float32Array.from(data) }
  })
}
