/** Where places of one picture lie in another. */
import type { Library, Mat } from './library.js'
import { type Grey, type Keep, matOf, type Place, placesMat, placesOf, type Vision } from './vision.js'

export interface FlowLook {
  /** Side of the square that is compared, px, odd. */
  readonly window: number
  /** Halvings of the picture beyond its own size: each doubles the way that can be found. */
  readonly levels: number
}

/** Where a place went; `back` is how far from itself the way back ends, px; infinite where it was not found. */
export interface Followed {
  readonly at: Place
  readonly back: number
}

const ITERATIONS = 30
/** A step so short ends the search, px. */
const STEP = 0.01
/** The library's count and epsilon together. */
const COUNT_AND_EPSILON = 3
/** Least eigenvalue a pixel of the structure tensor: below it a place counts as flat. The library's own default. */
const LEAST = 1e-4

/**
 * Pyramidal Lucas–Kanade there and back. @param starts where the search begins in `to`. Source: [lucas1981], [bouguet2001].
 */
export function followBoth(
  vision: Vision,
  from: Grey,
  to: Grey,
  places: readonly Place[],
  starts: readonly Place[],
  look: FlowLook,
): Followed[] {
  if (places.length === 0) return []
  return vision.use((cv, keep) => {
    const pair = [matOf(cv, keep, from), matOf(cv, keep, to)] as const
    const there = way(cv, keep, pair, placesMat(cv, keep, places), placesMat(cv, keep, starts), look)
    const back = way(
      cv,
      keep,
      [pair[1], pair[0]],
      placesMat(cv, keep, there.places),
      placesMat(cv, keep, places),
      look,
    )
    return places.map(([x, y], i) => {
      const at = there.places[i] as Place
      const [u, v] = back.places[i] as Place
      const found = there.found[i] === 1 && back.found[i] === 1
      return { at, back: found ? Math.sqrt((u - x) ** 2 + (v - y) ** 2) : Number.POSITIVE_INFINITY }
    })
  })
}

function way(
  cv: Library,
  keep: Keep,
  [from, to]: readonly [Mat, Mat],
  places: Mat,
  starts: Mat,
  { window, levels }: FlowLook,
): { places: Place[]; found: Uint8Array } {
  const [status, error] = [keep(new cv.Mat()), keep(new cv.Mat())]
  const end = new cv.TermCriteria(COUNT_AND_EPSILON, ITERATIONS, STEP)
  const size = new cv.Size(window, window)
  const flags = cv.OPTFLOW_USE_INITIAL_FLOW
  cv.calcOpticalFlowPyrLK(from, to, places, starts, status, error, size, levels, end, flags, LEAST)
  return { places: placesOf(starts), found: status.data.slice() }
}

/**
 * Where every pixel went: dx and dy in turn, px. @param window side of the square over which it is smoothed. Source: [farneback2003].
 */
export function denseFlow(vision: Vision, from: Grey, to: Grey, window: number): Float32Array {
  return vision.use((cv, keep) => {
    const flow = keep(new cv.Mat())
    const [a, b] = [matOf(cv, keep, from), matOf(cv, keep, to)]
    cv.calcOpticalFlowFarneback(a, b, flow, 0.5, 4, window, 4, 7, 1.5, 0)
    return flow.data32F.slice()
  })
}
