import { type Place, search, type Vision } from '../../vision/index.js'
import type { Luma } from './luma.js'
import type { Look } from './mark.js'
import { cut, drawn, inverse, type Turn } from './patch.js'

/**
 * Where around a place a look is found best, at whole pixels.
 *
 * @param turn from the look to how it should lie now
 * @param reach how far around the place, px each way
 */
export function foundAround(
  vision: Vision,
  luma: Luma,
  look: Look,
  turn: Turn,
  place: Place,
  reach: number,
): { at: Place; correlation: number } {
  const { window } = look
  const size = window + 2 * reach
  const own = cut(luma, place, size)
  const now = drawn(look.cut, look.at, inverse(turn), window)
  const { at, correlation } = search(vision, bytes(now, window), bytes(own.data, size))
  return { at: [own.x + at[0] + window / 2, own.y + at[1] + window / 2], correlation }
}

function bytes(data: Float32Array, size: number) {
  const clipped = (v: number) => Math.max(0, Math.min(255, Math.round(v)))
  return { width: size, height: size, data: Uint8Array.from(data, clipped) }
}
