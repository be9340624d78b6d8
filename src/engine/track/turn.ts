/** How a place that is followed by itself turns and grows. */
import { align, type Grey, type Matrix, type Place, type Vision } from '../../vision/index.js'
import type { Luma } from './luma.js'
import type { Mark } from './mark.js'
import { cut, drawn, STILL, type Turn, turned } from './patch.js'

/** Room around the window in the frame, px each way. */
const ROOM = 4

/**
 * The affine motion under which a mark's look is most like the frame around `at`.
 *
 * @returns nothing where it does not converge, or went elsewhere
 */
export function turnOf(
  vision: Vision,
  luma: Luma,
  mark: Mark,
  at: Place,
): { at: Place; turn: Turn } | undefined {
  const { window, cut: from, at: middle } = mark.look
  const size = window + 2 * ROOM
  const own = cut(luma, at, size)
  const template = grey(drawn(from, middle, STILL, window), window)
  const [a, b, c, d] = mark.turn
  const [u, v] = turned(mark.turn, window / 2, window / 2)
  const start: Matrix = [a, b, at[0] - own.x - u, c, d, at[1] - own.y - v, 0, 0, 1]
  const found = align(vision, template, grey(own.data, size), start)
  if (found === undefined) return undefined
  const [e, f, g, h, k, l] = found.matrix
  const turn: Turn = [e, f, h, k]
  const [x, y] = turned(turn, window / 2, window / 2)
  const to: Place = [own.x + x + g, own.y + y + l]
  const det = e * k - f * h
  if (!(det > 0.3 && det < 3) || Math.max(Math.abs(to[0] - at[0]), Math.abs(to[1] - at[1])) > ROOM)
    return undefined
  return { at: to, turn }
}

/** In 8 bits, stretched to its own least and most, since a flat one would lose itself in rounding. */
function grey(data: Float32Array, size: number): Grey {
  const [least, most] = data.reduce(([l, m], v) => [Math.min(l, v), Math.max(m, v)], [255, 0])
  const gain = 255 / Math.max(1, most - least)
  return { width: size, height: size, data: Uint8Array.from(data, (v) => Math.round(gain * (v - least))) }
}

/** Half the way over which a mapping's change is taken, px. */
const NEAR = 6

/** The slope of a mapping at a place. */
export function turnAt(map: (p: Place) => Place, [x, y]: Place): Turn {
  const [l, r] = [map([x - NEAR, y]), map([x + NEAR, y])]
  const [t, b] = [map([x, y - NEAR]), map([x, y + NEAR])]
  const d = 2 * NEAR
  return [(r[0] - l[0]) / d, (b[0] - t[0]) / d, (r[1] - l[1]) / d, (b[1] - t[1]) / d]
}
