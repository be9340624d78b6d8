/** A camera's focal length, middle and distortion from views of a flat pattern. */
import type { Library, Mat } from './library.js'
import { HALF, type Keep, type Place, type Vision } from './vision.js'

/** One picture of the pattern: where its points show, and where they lie on the pattern, in steps of it. */
export interface PatternView {
  readonly seen: readonly Place[]
  readonly lies: readonly Place[]
}

export interface Calibrated {
  /** px; pixels are taken as square. */
  readonly focal: number
  readonly middle: Place
  /** k1, k2, p1, p2, k3 in focal lengths; a term that was not asked for is 0. */
  readonly terms: readonly number[]
  /** One standard deviation of each: of the focal length, and of the terms. */
  readonly spread: { readonly focal: number; readonly terms: readonly number[] }
  /** px, root mean square over all points. */
  readonly rms: number
  /** px, of each view's points in turn: how far each is from where the camera found draws it. */
  readonly off: readonly (readonly number[])[]
}

const ITERATIONS = 100
const EPSILON = 1e-10
const COUNT_AND_EPSILON = 3

/** @param withK3 whether the term of the sixth degree is sought too. Source: [zhang2000], the library's own. */
export function calibrate(
  vision: Vision,
  views: readonly PatternView[],
  width: number,
  height: number,
  withK3: boolean,
): Calibrated {
  return vision.use((cv, keep) => {
    const lies = vector(cv, keep, views, (v) => flat(cv, keep, v.lies))
    const seen = vector(cv, keep, views, (v) => shown(cv, keep, v.seen))
    // What it is given says that both focal lengths are alike.
    const [k, d] = [keep(cv.Mat.eye(3, 3, cv.CV_64FC1)), keep(new cv.Mat())]
    const [turns, ways] = [keep(new cv.MatVector()), keep(new cv.MatVector())]
    const [sd, sdViews, each] = [keep(new cv.Mat()), keep(new cv.Mat()), keep(new cv.Mat())]
    const flags = cv.CALIB_FIX_ASPECT_RATIO | (withK3 ? 0 : cv.CALIB_FIX_K3)
    const end = new cv.TermCriteria(COUNT_AND_EPSILON, ITERATIONS, EPSILON)
    const size = new cv.Size(width, height)
    const rms = cv.calibrateCameraExtended(lies, seen, size, k, d, turns, ways, sd, sdViews, each, flags, end)
    const off = views.map((v, i) => {
      const drawn = keep(new cv.Mat())
      const [turn, way] = [keep(turns.get(i)), keep(ways.get(i))]
      cv.projectPoints(flat(cv, keep, v.lies), turn, way, k, d, drawn)
      return v.seen.map(([x, y], p) => {
        const [u, w] = [drawn.data32F[2 * p] as number, drawn.data32F[2 * p + 1] as number]
        return Math.sqrt((u + HALF - x) ** 2 + (w + HALF - y) ** 2)
      })
    })
    const [, , x = 0, , focal = 0, y = 0] = k.data64F
    return {
      focal,
      middle: [x + HALF, y + HALF],
      terms: [...d.data64F.subarray(0, 5)],
      // Both focal lengths, both of the middle, then the terms: of a fixed ratio only the second focal length has a spread.
      spread: { focal: sd.data64F[1] as number, terms: [...sd.data64F.subarray(4, 9)] },
      rms,
      off,
    }
  })
}

function vector(
  cv: Library,
  keep: Keep,
  views: readonly PatternView[],
  of: (v: PatternView) => Mat,
): InstanceType<Library['MatVector']> {
  const all = keep(new cv.MatVector())
  for (const v of views) all.push_back(of(v))
  return all
}

/** On the pattern's plane. */
function flat(cv: Library, keep: Keep, places: readonly Place[]): Mat {
  const mat = keep(new cv.Mat(places.length, 1, cv.CV_32FC3))
  for (const [i, [x, y]] of places.entries()) mat.data32F.set([x, y, 0], 3 * i)
  return mat
}

function shown(cv: Library, keep: Keep, places: readonly Place[]): Mat {
  const mat = keep(new cv.Mat(places.length, 1, cv.CV_32FC2))
  for (const [i, [x, y]] of places.entries()) mat.data32F.set([x - HALF, y - HALF], 2 * i)
  return mat
}
