/**
 * Finding again what has moved far by features that know neither size nor turn: each is a place and a word of bits for how it looks
 * there. Source: [alcantarilla2013]; the ratio of the two best [lowe2004 §7.1].
 */
import type { Library, Mat } from './library.js'
import { type Grey, HALF, type Keep, matOf, type Place, type Vision } from './vision.js'

export interface Features {
  readonly places: readonly Place[]
  /** A row of bytes for each. */
  readonly words: Uint8Array
}

/** A pair counts when the second best word is that much farther away than the best. Choice: with many repeated things few are lost. */
const RATIO = 0.9
/** Features that are looked at where two whole pictures are compared. */
const WHOLE = 600

/** The strongest features of a picture, at most so many. @param within says of a place whether it may be taken */
export function featuresOf(
  vision: Vision,
  picture: Grey,
  most: number,
  within: (p: Place) => boolean = () => true,
): Features {
  return vision.use((cv, keep) => {
    const [points, words] = [keep(new cv.KeyPointVector()), keep(new cv.Mat())]
    const everywhere = keep(new cv.Mat())
    keep(new cv.AKAZE()).detectAndCompute(matOf(cv, keep, picture), everywhere, points, words, false)
    const found = Array.from({ length: points.size() }, (_, i) => {
      const { pt, response } = points.get(i)
      return { i, at: [pt.x + HALF, pt.y + HALF] as const, response }
    })
    const taken = found
      .filter(({ at }) => within(at))
      .toSorted((a, b) => b.response - a.response || a.i - b.i)
      .slice(0, most)
    const out = new Uint8Array(taken.length * words.cols)
    for (const [k, { i }] of taken.entries())
      out.set(words.data.subarray(i * words.cols, (i + 1) * words.cols), k * words.cols)
    return { places: taken.map((t) => t.at), words: out }
  })
}

/** Pairs of places that look alike, each the other's best, whatever lies between; some are wrong. */
export function paired(vision: Vision, a: Features, b: Features): { from: Place[]; to: Place[] } {
  return vision.use((cv, keep) => {
    const pairs: { from: Place[]; to: Place[] } = { from: [], to: [] }
    // The second best needs two.
    if (a.places.length < 2 || b.places.length < 2) return pairs
    const [one, two] = [wordsMat(cv, keep, a), wordsMat(cv, keep, b)]
    const [there, back] = [bestOf(cv, keep, one, two), bestOf(cv, keep, two, one)]
    for (const [i, j] of there) {
      if (back.get(j) !== i) continue
      pairs.from.push(a.places[i] as Place)
      pairs.to.push(b.places[j] as Place)
    }
    return pairs
  })
}

/** The same of two whole pictures. */
export function alike(vision: Vision, a: Grey, b: Grey): { from: Place[]; to: Place[] } {
  return paired(vision, featuresOf(vision, a, WHOLE), featuresOf(vision, b, WHOLE))
}

function wordsMat(cv: Library, keep: Keep, { places, words }: Features): Mat {
  const mat = keep(new cv.Mat(places.length, words.length / places.length, cv.CV_8UC1))
  mat.data.set(words)
  return mat
}

/** By row of `from` the row of `to` that is nearest, where it stands out. */
function bestOf(cv: Library, keep: Keep, from: Mat, to: Mat): Map<number, number> {
  const matches = keep(new cv.DMatchVectorVector())
  keep(new cv.BFMatcher(cv.NORM_HAMMING, false)).knnMatch(from, to, matches, 2)
  const best = new Map<number, number>()
  for (let i = 0; i < matches.size(); i++) {
    const both = keep(matches.get(i))
    const [first, second] = [both.get(0), both.get(1)]
    if (first.distance < RATIO * second.distance) best.set(first.queryIdx, first.trainIdx)
  }
  return best
}
