/** Finding again what has moved far: by a small picture of it, or by features that know neither size nor turn. */
import { type Grey, HALF, matOf, type Place, type Vision } from './vision.js'

/**
 * Where a template correlates best with a part of the picture, brightness and contrast aside, at whole pixels.
 *
 * @returns place of the template's first edge, and the correlation there, −1 to 1
 */
export function search(vision: Vision, template: Grey, picture: Grey): { at: Place; correlation: number } {
  return vision.use((cv, keep) => {
    const scores = keep(new cv.Mat())
    cv.matchTemplate(matOf(cv, keep, picture), matOf(cv, keep, template), scores, cv.TM_CCOEFF_NORMED)
    const { data32F, cols } = scores
    let best = 0
    for (let i = 1; i < data32F.length; i++) {
      if ((data32F[i] as number) > (data32F[best] as number)) best = i
    }
    return { at: [best % cols, Math.floor(best / cols)], correlation: data32F[best] as number }
  })
}

/** Features that are looked at in each picture. */
const FEATURES = 600

/** Pairs of places of two pictures that look alike, whatever lies between; many are wrong. Source: [rublee2011]. */
export function alike(vision: Vision, a: Grey, b: Grey): { from: Place[]; to: Place[] } {
  return vision.use((cv, keep) => {
    const all = keep(new cv.Mat())
    const orb = keep(new cv.ORB(FEATURES))
    const features = (picture: Grey) => {
      const points = keep(new cv.KeyPointVector())
      const words = keep(new cv.Mat())
      orb.detectAndCompute(matOf(cv, keep, picture), all, points, words, false)
      return { points, words }
    }
    const [one, two] = [features(a), features(b)]
    const pairs: { from: Place[]; to: Place[] } = { from: [], to: [] }
    if (one.points.size() === 0 || two.points.size() === 0) return pairs
    const matches = keep(new cv.DMatchVector())
    keep(new cv.BFMatcher(cv.NORM_HAMMING, true)).match(one.words, two.words, matches)
    for (let i = 0; i < matches.size(); i++) {
      const { queryIdx, trainIdx } = matches.get(i)
      pairs.from.push(placeOf(one.points.get(queryIdx).pt))
      pairs.to.push(placeOf(two.points.get(trainIdx).pt))
    }
    return pairs
  })
}

function placeOf({ x, y }: { readonly x: number; readonly y: number }): Place {
  return [x + HALF, y + HALF]
}
