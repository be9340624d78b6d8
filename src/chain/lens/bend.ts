/** What the plate's lens does to everything that is seen through it: distortion and lateral aberration as one map. */
import { EMPTY, POINTWISE, type Reach, type Region } from '../../core/index.js'
import { type WarpMap, warpedRegion, warpMap, warpSource } from '../../kernels/index.js'
import { type Aberration, greenOf, isColoured, UNCOLOURED } from './aberration/model.js'
import { type Distortion, distortionWays, isStraight } from './distortion/model.js'

/** Pixels between the map's nodes. */
const STEP = 8
const STRAIGHT: Distortion = { form: 'brown-conrady', terms: [] }

/** Places through the lens, both ways. */
export interface LensWays {
  /** Where the lens draws, in green, what lies at (x, y) on a plate without distortion; plate pixels. */
  readonly drawn: (x: number, y: number) => [number, number]
  /** The way back: what lies there without distortion. */
  readonly straight: (x: number, y: number) => [number, number]
}

export interface Bend extends LensWays {
  /** From the plate's pixels to those of a plate without distortion. */
  readonly map: WarpMap
}

export function bendReach(bend: Bend | undefined): Reach {
  if (bend === undefined) return POINTWISE
  const known = reaches.get(bend.map) ?? {
    needs: lastKept((r) => warpSource(bend.map, r)),
    touches: lastKept((r) => warpedRegion(bend.map, r)),
  }
  reaches.set(bend.map, known)
  return known
}

const reaches = new WeakMap<WarpMap, Reach>()

/** Frames ask for the same regions again and again, and each answer is a walk over the whole map. */
function lastKept(work: (r: Region) => Region): (r: Region) => Region {
  let [asked, answer] = [EMPTY, EMPTY]
  return (r) => {
    const same = r.x === asked.x && r.y === asked.y && r.width === asked.width && r.height === asked.height
    if (!same) [asked, answer] = [r, work(r)]
    return answer
  }
}

/** The middle of the lens, and half the shorter side. */
function lensOn(
  frame: Region,
  { axis: [x, y] = [0, 0] }: Distortion,
): { x0: number; y0: number; unit: number } {
  const unit = Math.min(frame.width, frame.height) / 2
  return { x0: frame.x + frame.width / 2 + unit * x, y0: frame.y + frame.height / 2 + unit * y, unit }
}

/** Half of the frame's width and height, in half its short side. */
export function reachOf({ width, height }: Pick<Region, 'width' | 'height'>): [number, number] {
  const short = Math.min(width, height)
  return [width / short, height / short]
}

/**
 * The map of a lens by itself: plain data, that another thread can be given. Undefined where the lens bends nothing.
 *
 * @throws Problem `lens.distortion-folds`
 */
export function bendMap(
  frame: Region,
  distortion: Distortion = STRAIGHT,
  aberration: Aberration = UNCOLOURED,
): WarpMap | undefined {
  const straight = isStraight(distortion)
  const coloured = isColoured(aberration)
  if (straight && !coloured) return undefined
  const { x0, y0, unit } = lensOn(frame, distortion)
  const { undistort } = distortionWays(distortion, reachOf(frame))
  return warpMap(frame, STEP, coloured, (x, y, out) => {
    for (const c of coloured ? ([0, 1, 2] as const) : ([1] as const)) {
      const [gx, gy] = greenOf(aberration, c, x - x0, y - y0, unit)
      const [dx, dy] = [gx / unit, gy / unit]
      const [u, v] = straight ? [dx, dy] : undistort(dx, dy)
      out[2 * c] = x0 + unit * u
      out[2 * c + 1] = y0 + unit * v
    }
  })
}

/**
 * Undefined where the lens bends nothing. `map`: that of this very lens, where it is there already.
 *
 * @throws Problem `lens.distortion-folds`
 */
export function plateBend(
  frame: Region,
  distortion: Distortion = STRAIGHT,
  aberration: Aberration = UNCOLOURED,
  map = bendMap(frame, distortion, aberration),
): Bend | undefined {
  return map && { map, ...lensWays(frame, distortion) }
}

/** Of single places, without a map. */
export function lensWays(frame: Region, distortion: Distortion): LensWays {
  const { x0, y0, unit } = lensOn(frame, distortion)
  const { distort, undistort } = distortionWays(distortion, reachOf(frame))
  const through =
    (way: typeof distort) =>
    (x: number, y: number): [number, number] => {
      const [u, v] = way((x - x0) / unit, (y - y0) / unit)
      return [x0 + unit * u, y0 + unit * v]
    }
  return { drawn: through(distort), straight: through(undistort) }
}
