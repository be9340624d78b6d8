/** What was seen of a motion, frame by frame: the input of all that judges it. */
import type { Lens } from './fit/fit.js'
import type { Model } from './fit/models.js'
import { type Pair, type Pairs, pairsOf, type Weighing } from './fit/pairs.js'
import type { Place } from './matrix.js'

/** Frame of the shot, x, y, and the standard deviation along the worse direction, px. */
export type Sighting = readonly [
  frame: number,
  x: number,
  y: number,
  spreadPx: number,
  weighing?: Weighing | undefined,
]

/** A point of the plate: where it lies on the reference frame, and where it was seen. Frames on which it is hidden are left out. */
export interface SeenPoint {
  readonly from: Place
  readonly seen: readonly Sighting[]
}

/** What on a frame is seen as clearly as ever, went with the others before, and now goes another way. */
export interface Astray {
  readonly frame: number
  /** Of all that is seen there: 0 to 1. */
  readonly share: number
  /** Root mean square of how far along an axis it lies from where the others go, px. */
  readonly rmsPx: number
}

/** How far parts of a whole picture go otherwise than the common motion on a frame. */
export interface Uneven {
  readonly frame: number
  /** Root mean square over the parts, along an axis, px. */
  readonly rmsPx: number
  /** The part that is farthest off: its middle on that frame, and how far. */
  readonly worst: Place
  readonly worstPx: number
}

/** By hand: what lies at `from` on the reference frame lies at `to` on this one. */
export interface Correction {
  readonly frame: number
  readonly from: Place
  readonly to: Place
}

export interface Seen {
  /** Frame whose pixels the motion starts from. */
  readonly reference: number
  readonly frames: { readonly first: number; readonly count: number }
  readonly points: readonly SeenPoint[]
  readonly astray?: readonly Astray[]
  readonly uneven?: readonly Uneven[]
  /** Ends of what is followed, on the reference frame: there the spread is told; when absent at the points. */
  readonly outline?: readonly Place[]
  /** The motion to fit; when absent the one that the evidence allows. */
  readonly motion?: Model['name']
  /** For rotations: the lens's middle on the plate, and its focal length in pixels where that is known. */
  readonly lens?: { readonly middle: Place; readonly focalPx?: number }
  readonly corrections?: readonly Correction[]
  /** Frames too blurred, or too much hidden, to believe what was seen on them. */
  readonly hidden?: readonly number[]
  /** Frames with which another picture begins. */
  readonly cuts?: readonly number[]
  /** What lies there on a plate without distortion, where points and corrections are those of a plate with it. */
  readonly straight?: (x: number, y: number) => Place
}

/** How a rotation is seen; undefined without middle or focal length. */
export function lensOf(seen: Seen, focalPx = seen.lens?.focalPx): Lens | undefined {
  return seen.lens && focalPx !== undefined ? { middle: seen.lens.middle, focalPx } : undefined
}

/** A point's spread is never taken for less: 1/1000 px. */
const LEAST_SPREAD = 1e-3

/** Pairs of each frame, first frame first, in straight pixels; those on a hidden frame are left out. */
export function pairsByFrame(seen: Seen): readonly Pairs[] {
  const { first, count } = seen.frames
  const lists = Array.from({ length: count }, (): Pair[] => [])
  const hidden = new Set(seen.hidden)
  const straight = seen.straight ?? ((x: number, y: number): Place => [x, y])
  for (const point of seen.points) {
    const from = straight(...point.from)
    for (const [frame, x, y, spread, weighing] of point.seen) {
      const own = Math.max(spread, LEAST_SPREAD)
      if (!hidden.has(frame)) lists[frame - first]?.push([from, straight(x, y), own, weighing])
    }
  }
  return lists.map(pairsOf)
}

/** The points' places, the outline (or they) and the corrections in straight pixels. */
export function straightened(seen: Seen): {
  places: readonly Place[]
  outline: readonly Place[]
  corrections: readonly Correction[]
} {
  const straight = seen.straight ?? ((x: number, y: number): Place => [x, y])
  return {
    outline: (seen.outline ?? seen.points.map(({ from }) => from)).map((p) => straight(...p)),
    places: seen.points.map(({ from }) => straight(...from)),
    corrections: (seen.corrections ?? []).map((c) => ({
      frame: c.frame,
      from: straight(...c.from),
      to: straight(...c.to),
    })),
  }
}
