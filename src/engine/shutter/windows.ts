/** Parts of a frame that move as one to the next, and how fast: by the flow of small pictures. */
import { heldLength, type Moving } from '../../chain/shutter/angle/measure.js'
import { median, type Region, robustSigma } from '../../core/index.js'
import { corners, followBoth, type Grey, type Place, type Vision } from '../../vision/index.js'

export interface MovingPart {
  readonly region: Region
  readonly moving: Moving
}

/** Side of a part, px, and as a share of the frame's shorter side where that is small: it must hold a streak several times. */
const SIDE = 384
const SHARE = 2 / 3
/** Slower than that a streak of half the time cannot be told, px a frame. */
export const SLOWEST = 16
const CORNERS = { most: 400, distance: 8, quality: 0.01 }
const LOOK = { window: 21, levels: 4 }
/** A way back that misses by more is none, small px. */
const CLOSES = 0.5
/** A part in which fewer places are followed tells nothing. */
const LEAST = 8
/** Places of one part may differ by that share of their motion. */
const AS_ONE = 0.06
/** Share of its motion that a part must hold as a streak: else that of a shutter that is open long is taken for a shorter one. */
const HELD = 0.75
/** What the flow misses by however many places agree, small px: a choice. */
const OWN = 0.05
/** Of a levelled picture, 256 steps: a part that differs less from frame to frame goes nowhere. */
const STILL = 10

/**
 * The fastest first.
 *
 * @param factor plate pixels a small one
 */
export function movingParts(
  vision: Vision,
  [from, to]: readonly [Grey, Grey],
  factor: number,
  { width, height }: { readonly width: number; readonly height: number },
): MovingPart[] {
  const places = corners(vision, from, CORNERS)
  const ways = followBoth(vision, from, to, places, places, LOOK).map(({ at, back }, i) => {
    const [x, y] = places[i] as Place
    return { x, y, dx: at[0] - x, dy: at[1] - y, back }
  })
  const known = ways.filter((w) => w.back <= CLOSES)
  const parts = partsOf(width, height).flatMap((region) => {
    const inside = known.filter(({ x, y }) => holds(region, factor * x, factor * y))
    if (inside.length < LEAST) return []
    const [xs, ys] = [inside.map((w) => factor * w.dx), inside.map((w) => factor * w.dy)]
    const [x, y] = [median(xs), median(ys)]
    const speed = Math.hypot(x, y)
    const scatter = Math.hypot(robustSigma(xs), robustSigma(ys))
    if (speed < SLOWEST || scatter > AS_ONE * speed) return []
    const spread = Math.hypot(scatter / Math.sqrt(inside.length), factor * OWN)
    const moving = { x, y, spread }
    return heldLength(region, moving) < HELD * speed ? [] : [{ region, moving }]
  })
  const speed = ({ moving }: MovingPart) => Math.hypot(moving.x, moving.y)
  return parts.sort((a, b) => speed(b) - speed(a))
}

/** Whether no part of the picture differs from that of the next frame: without the library, which takes its time to load. */
export function holdsStill(from: Grey, to: Grey, factor: number, width: number, height: number): boolean {
  return partsOf(width, height).every((r) => {
    let [sum, count] = [0, 0]
    for (let y = Math.ceil(r.y / factor); y < Math.min((r.y + r.height) / factor, from.height); y++) {
      for (let x = Math.ceil(r.x / factor); x < Math.min((r.x + r.width) / factor, from.width); x++) {
        const p = y * from.width + x
        sum += Math.abs((from.data[p] as number) - (to.data[p] as number))
        count++
      }
    }
    return sum <= STILL * count
  })
}

/** Side by side about the frame's middle. */
function partsOf(width: number, height: number): Region[] {
  const side = Math.min(SIDE, 2 * Math.floor((SHARE * Math.min(width, height)) / 2))
  const [columns, rows] = [Math.floor(width / side), Math.floor(height / side)]
  const [left, top] = [(width - columns * side) >> 1, (height - rows * side) >> 1]
  return Array.from({ length: columns * rows }, (_, i) => ({
    x: left + (i % columns) * side,
    y: top + Math.floor(i / columns) * side,
    width: side,
    height: side,
  }))
}

function holds({ x, y, width, height }: Region, px: number, py: number): boolean {
  return px >= x && py >= y && px < x + width && py < y + height
}
