import { type Grey, matOf, type Place, placesOf, type Vision } from './vision.js'

export interface CornerSearch {
  /** At most so many, the strongest first. */
  readonly most: number
  /** Least distance between two, px. */
  readonly distance: number
  /** Share of the strongest one's strength (smaller eigenvalue of the structure tensor) that each must have. */
  readonly quality: number
}

/** Side of the square over which a corner's strength is summed, px. */
const BLOCK = 5

/** Places that can be told from their neighbours in both directions, at whole pixels. Source: [shi1994]. */
export function corners(vision: Vision, picture: Grey, { most, distance, quality }: CornerSearch): Place[] {
  return vision.use((cv, keep) => {
    const found = keep(new cv.Mat())
    const everywhere = keep(new cv.Mat())
    const mat = matOf(cv, keep, picture)
    cv.goodFeaturesToTrack(mat, found, most, quality, distance, everywhere, BLOCK, false, 0)
    return placesOf(found)
  })
}
