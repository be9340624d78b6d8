/** The part of OpenCV 4.12 (compiled to WebAssembly, package opencv-js) that is used here, and how it is loaded. */
import { createRequire } from 'node:module'

/** What lies in the library's own memory until it is deleted. */
export interface Held {
  delete(): void
}

export interface Mat extends Held {
  readonly rows: number
  readonly cols: number
  readonly data: Uint8Array
  readonly data32F: Float32Array
  readonly data64F: Float64Array
  readonly data32S: Int32Array
  empty(): boolean
}

interface MatConstructor {
  new (rows?: number, columns?: number, type?: number): Mat
  eye(rows: number, columns: number, type: number): Mat
}

interface Mats extends Held {
  get(i: number): Mat
  push_back(one: Mat): void
}

interface Detector extends Held {
  detectAndCompute(picture: Mat, mask: Mat, points: KeyPoints, words: Mat, given: boolean): void
}

interface KeyPoints extends Held {
  size(): number
  get(i: number): { readonly pt: { readonly x: number; readonly y: number }; readonly response: number }
}

interface Matches extends Held {
  size(): number
  get(i: number): { readonly queryIdx: number; readonly trainIdx: number; readonly distance: number }
}

/** A list for each row of the query, the nearest first. */
interface MatchLists extends Held {
  size(): number
  get(i: number): Matches
}

interface Matcher extends Held {
  knnMatch(query: Mat, train: Mat, matches: MatchLists, nearest: number): void
}

interface CharucoDetector extends Held {
  detectBoard(picture: Mat, corners: Mat, ids: Mat, markCorners: Mats, markIds: Mat): void
}

/** Sizes, ends of iterations and borders are plain values of the library. */
type Plain = object

export interface Library {
  readonly Mat: MatConstructor
  readonly MatVector: new () => Mats
  readonly AKAZE: new () => Detector
  readonly BFMatcher: new (norm: number, crossCheck: boolean) => Matcher
  readonly KeyPointVector: new () => KeyPoints
  readonly DMatchVectorVector: new () => MatchLists
  /** Sets of marks: `DICT_4X4_50`. */
  readonly [set: `DICT_${string}`]: number
  getPredefinedDictionary(set: number): Held
  readonly aruco_CharucoBoard: new (size: Plain, square: number, mark: number, set: Held, ids: Mat) => Held
  readonly aruco_CharucoParameters: new () => Held
  readonly aruco_DetectorParameters: new () => Held
  readonly aruco_RefineParameters: new (distance: number, correction: number, order: boolean) => Held
  readonly aruco_CharucoDetector: new (board: Held, own: Held, marks: Held, refine: Held) => CharucoDetector
  readonly Size: new (width: number, height: number) => Plain
  readonly TermCriteria: new (type: number, count: number, epsilon: number) => Plain
  readonly CV_8UC1: number
  readonly CV_32FC1: number
  readonly CV_32FC2: number
  readonly CV_32FC3: number
  readonly CV_64FC1: number
  readonly CALIB_FIX_ASPECT_RATIO: number
  readonly CALIB_FIX_K3: number
  readonly TM_CCOEFF_NORMED: number
  readonly USAC_MAGSAC: number
  readonly RANSAC: number
  readonly MOTION_AFFINE: number
  readonly NORM_HAMMING: number
  readonly OPTFLOW_USE_INITIAL_FLOW: number
  goodFeaturesToTrack(
    picture: Mat,
    corners: Mat,
    most: number,
    quality: number,
    distance: number,
    mask: Mat,
    block: number,
    harris: boolean,
    k: number,
  ): void
  calcOpticalFlowPyrLK(
    from: Mat,
    to: Mat,
    places: Mat,
    found: Mat,
    status: Mat,
    error: Mat,
    window: Plain,
    levels: number,
    end: Plain,
    flags: number,
    least: number,
  ): void
  calcOpticalFlowFarneback(
    from: Mat,
    to: Mat,
    flow: Mat,
    scale: number,
    levels: number,
    window: number,
    iterations: number,
    neighbours: number,
    sigma: number,
    flags: number,
  ): void
  findHomography(
    from: Mat,
    to: Mat,
    method: number,
    threshold: number,
    mask: Mat,
    iterations: number,
    confidence: number,
  ): Mat
  estimateAffine2D(
    from: Mat,
    to: Mat,
    mask: Mat,
    method: number,
    threshold: number,
    iterations: number,
    confidence: number,
    refinements: number,
  ): Mat
  findTransformECC(
    template: Mat,
    picture: Mat,
    warp: Mat,
    motion: number,
    end: Plain,
    mask: Mat,
    smoothing: number,
  ): number
  calibrateCameraExtended(
    lies: Mats,
    seen: Mats,
    size: Plain,
    camera: Mat,
    terms: Mat,
    turns: Mats,
    ways: Mats,
    deviations: Mat,
    deviationsOfViews: Mat,
    errorsOfViews: Mat,
    flags: number,
    end: Plain,
  ): number
  projectPoints(lies: Mat, turn: Mat, way: Mat, camera: Mat, terms: Mat, drawn: Mat): void
  matchTemplate(picture: Mat, template: Mat, scores: Mat, method: number): void
  setRNGSeed(seed: number): void
  exceptionFromPtr(pointer: number): { readonly code: number; readonly msg: string }
}

/** In a box: the library has a `then` of its own that calls back with itself, so no promise may hold it. */
let loaded: Promise<{ readonly library: Library }> | undefined

/** Loads the library at the first call (a quarter of a second, 128 MiB of its own memory). */
export function loadLibrary(): Promise<{ readonly library: Library }> {
  loaded ??= load()
  return loaded
}

async function load(): Promise<{ readonly library: Library }> {
  const require = createRequire(import.meta.url)
  const library = require('@techstark/opencv-js') as Library & { then(ready: () => void): void }
  await new Promise<void>((resolve) => library.then(() => resolve()))
  return { library }
}
