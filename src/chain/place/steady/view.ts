/**
 * A plate with a track's motion taken out: every frame as the reference frame would see it.
 *
 *   steadied(p) = plate( d( M(p) ) )        p  px of the reference frame, on a plate without lens distortion
 *                                           M  the motion to the frame, d  what the lens draws there
 *
 * What is put back goes the other way once, as an element does: bent by M, then by the lens. The steadied picture is there to look
 * at and to paint on; nothing of it comes back but what was painted.
 */
import { Problem, type Region } from '../../../core/index.js'
import { type WarpMap, warpMap } from '../../../kernels/index.js'
import type { Place } from '../motion/matrix.js'

/** From the reference frame to a frame's plate as it was filmed, and back; no numbers where nothing of the one lies in the other. */
export interface Carrying {
  readonly there: (x: number, y: number) => readonly [number, number]
  readonly back: (x: number, y: number) => readonly [number, number]
}

/** Places along each side of the plate that are carried back. */
const ALONG = 16
/** Times the plate's size that a steadied picture may have each way: beyond it most of it would be empty. A choice. */
const MOST = 3

/**
 * The part of the reference frame's plane that holds the plate and all frames whole; of even size, for chroma.
 *
 * @throws Problem `place.steady-wide` where that is more than three times the plate
 */
export function overscan(width: number, height: number, frames: readonly Carrying[]): Region {
  let [x0, y0, x1, y1] = [0, 0, width, height]
  for (const { back } of frames) {
    for (const [x, y] of border(width, height)) {
      const [u, v] = back(x, y)
      x0 = Math.min(x0, u)
      y0 = Math.min(y0, v)
      x1 = Math.max(x1, u)
      y1 = Math.max(y1, v)
      // A comparison with NaN is false.
      if (!(x1 - x0 <= MOST * width && y1 - y0 <= MOST * height && Number.isFinite(u + v)))
        throw new Problem({
          code: 'place.steady-wide',
          what: 'Held still, this shot covers more than three times the width or height of the plate',
          expected: `at most ${MOST * width}×${MOST * height} px`,
          remedy: 'Leave out --overscan, or ask for fewer frames, nearer to the reference frame.',
        })
    }
  }
  const [x, y] = [Math.floor(x0), Math.floor(y0)]
  const even = (length: number) => 2 * Math.ceil(length / 2)
  return { x, y, width: even(x1 - x), height: even(y1 - y) }
}

function border(width: number, height: number): Place[] {
  return Array.from({ length: ALONG + 1 }, (_, i) => i / ALONG).flatMap((t): Place[] => [
    [t * width, 0],
    [t * width, height],
    [0, t * height],
    [width, t * height],
  ])
}

const STEP = 8
/** Largest error between nodes, px. */
const OFF = 0.02
/** A position that is in no picture, within what a map can hold. */
const NOWHERE = -65_000

/** The map by which the plate is drawn into `view`: nodes 8 px apart where that is near enough, else on every pixel. */
export function steadyMap(view: Region, { there }: Carrying): WarpMap {
  const map = (x: number, y: number, out: { [channel: number]: number }) => {
    const [u, v] = there(x, y)
    out[2] = Number.isFinite(u) ? Math.max(NOWHERE, Math.min(u, -NOWHERE)) : NOWHERE
    out[3] = Number.isFinite(v) ? Math.max(NOWHERE, Math.min(v, -NOWHERE)) : NOWHERE
  }
  return warpMap(view, evenBetween(view, there) ? STEP : 1, false, map)
}

/** Whether in the middle of every cell the map lies where its corners say. */
function evenBetween(view: Region, there: Carrying['there']): boolean {
  for (let y = view.y + STEP / 2; y < view.y + view.height + STEP; y += STEP) {
    for (let x = view.x + STEP / 2; x < view.x + view.width + STEP; x += STEP) {
      const h = STEP / 2
      const corners = [there(x - h, y - h), there(x + h, y - h), there(x - h, y + h), there(x + h, y + h)]
      const own = there(x, y)
      for (const axis of [0, 1] as const) {
        const mean = corners.reduce((sum, c) => sum + c[axis], 0) / 4
        if (!(Math.abs(mean - own[axis]) <= OFF)) return false
      }
    }
  }
  return true
}
