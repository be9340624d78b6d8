/**
 * Parallax budget: how much of a camera's move a flat stands, before it is seen to be a picture hung in space.
 *
 *   view      angle between the ways of sight from where it was placed and from here: atan(b / D) for b sideways
 *   internal  what its near and its far parts shift against each other in truth, F · b · (1/near − 1/far) for b sideways:
 *             a flat's do not. The largest of its middle and its corners, exact for any move.
 *   slide     what a picture that is not carried along is off its place, F · b / D for b sideways
 *
 *   D distance, near and far D ∓ depth/2, b translation m; F focal length px. Turning shifts all depths alike and is left out.
 *
 * Limits are choices. VIEW 10°: where the other side of a round thing begins to be missed (people see it from 10 to 15° on); of its
 * width 1.5 % goes. INTERNAL 1 px: a shift of a whole pixel between two sharp edges is seen from frame to frame, half of one is
 * not. SLIDE 1 px: the same, against the ground it stands on.
 * Source: pinhole projection, [hartley2004 §6.1].
 */
import type { CameraPath, Standing } from './path.js'

export const LIMITS = { viewDeg: 10, internalPx: 1, slidePx: 1 } as const
export type Limit = keyof typeof LIMITS

export interface Flat {
  readonly focalPx: number
  /** Its middle, pixels from the picture's middle. */
  readonly x: number
  readonly y: number
  /** Its own picture, pixels of the plate. */
  readonly widthPx: number
  readonly heightPx: number
  /** Along the lens's axis, on the frame it was placed on. */
  readonly distanceM: number
  readonly depthM: number
}

export interface BudgetFrame {
  readonly frame: number
  readonly viewDeg: number
  readonly internalPx: number
  readonly slidePx: number
}

export interface Budget {
  readonly frames: readonly BudgetFrame[]
  readonly peak: Readonly<Record<Limit, number>>
  /** First frame beyond each limit; absent where it holds. */
  readonly first: Readonly<Partial<Record<Limit, number>>>
  /** Frame on which the camera reaches its near side; the budget ends there. */
  readonly reached: number | undefined
}

/** A near side that lies no farther before the lens than this share of the distance counts as reached. */
const REACHED = 0.02

/** @param path counted from where the camera was on the frame that the flat was placed on */
export function parallaxBudget(flat: Flat, path: CameraPath): Budget {
  const near = flat.distanceM - flat.depthM / 2
  const inFront = (s: Standing) => near - s.forward > REACHED * flat.distanceM
  const end = path.findIndex((s) => !inFront(s))
  const frames = (end < 0 ? path : path.slice(0, end)).map((s) => frameOf(flat, s))
  const peak = { viewDeg: 0, internalPx: 0, slidePx: 0 }
  const first: Partial<Record<Limit, number>> = {}
  for (const f of frames) {
    for (const limit of Object.keys(LIMITS) as Limit[]) {
      peak[limit] = Math.max(peak[limit], f[limit])
      if (f[limit] > LIMITS[limit]) first[limit] ??= f.frame
    }
  }
  return { frames, peak, first, reached: end < 0 ? undefined : path[end]?.frame }
}

function frameOf(flat: Flat, s: Standing): BudgetFrame {
  const { x, y, distanceM: d, depthM, widthPx, heightPx } = flat
  const [w, h] = [widthPx / 2, heightPx / 2]
  const places = [
    [x, y],
    [x - w, y - h],
    [x + w, y - h],
    [x - w, y + h],
    [x + w, y + h],
  ] as const
  const internal = places.map(([px, py]) => {
    const near = shown(flat, px, py, d - depthM / 2, s)
    const far = shown(flat, px, py, d + depthM / 2, s)
    return distance(near[0] - far[0], near[1] - far[1])
  })
  const slide = places.map(([px, py]) => {
    const now = shown(flat, px, py, d, s)
    return distance(now[0] - px, now[1] - py)
  })
  return {
    frame: s.frame,
    viewDeg: viewChange(flat, s),
    internalPx: Math.max(...internal),
    slidePx: Math.max(...slide),
  }
}

/** Where that which stood at a depth behind a pixel shows from here, pixels from the picture's middle. */
function shown({ focalPx: f }: Flat, x: number, y: number, depth: number, s: Standing): [number, number] {
  const ahead = depth - s.forward
  return [(x * depth - f * s.right) / ahead, (y * depth - f * s.down) / ahead]
}

function viewChange({ focalPx: f, x, y, distanceM: d }: Flat, s: Standing): number {
  const before = [(x * d) / f, (y * d) / f, d] as const
  const now = [before[0] - s.right, before[1] - s.down, before[2] - s.forward] as const
  const cross = [
    before[1] * now[2] - before[2] * now[1],
    before[2] * now[0] - before[0] * now[2],
    before[0] * now[1] - before[1] * now[0],
  ]
  const sine = Math.sqrt(cross.reduce((sum, v) => sum + v * v, 0))
  const cosine = before[0] * now[0] + before[1] * now[1] + before[2] * now[2]
  return (Math.atan2(sine, cosine) * 180) / Math.PI
}

function distance(x: number, y: number): number {
  return Math.sqrt(x * x + y * y)
}
