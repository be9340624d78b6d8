import { type Matrix, shifted } from './motion.js'
import { type Grey, matOf, type Vision } from './vision.js'

export interface Aligned {
  /** From the template's places to the picture's; affine. */
  readonly matrix: Matrix
  /** Correlation of the two, −1 to 1. */
  readonly correlation: number
}

const ITERATIONS = 12
const EPSILON = 1e-4
const COUNT_AND_EPSILON = 3
/** The library's own number for it. */
const NOT_CONVERGED = -7

/**
 * The affine motion under which a template correlates best with a picture, brightness and contrast aside. @param start a first guess,
 * as the result. @returns nothing where it does not converge. Source: [evangelidis2008].
 */
export function align(vision: Vision, template: Grey, picture: Grey, start: Matrix): Aligned | undefined {
  return vision.use((cv, keep) => {
    const warp = keep(new cv.Mat(2, 3, cv.CV_32FC1))
    warp.data32F.set(centred(start))
    const all = keep(new cv.Mat())
    const end = new cv.TermCriteria(COUNT_AND_EPSILON, ITERATIONS, EPSILON)
    const [a, b] = [matOf(cv, keep, template), matOf(cv, keep, picture)]
    try {
      const correlation = cv.findTransformECC(a, b, warp, cv.MOTION_AFFINE, end, all, 1)
      return { matrix: shifted([...warp.data32F, 0, 0, 1]), correlation }
    } catch (e) {
      // It throws where the two do not overlap or do not correlate; whatever else it throws is a defect.
      if (typeof e === 'number' && cv.exceptionFromPtr(e).code === NOT_CONVERGED) return undefined
      throw e
    }
  })
}

/** The other way about from `shifted`, for affine motions. */
function centred([a, b, c, d, e, f]: Matrix): readonly number[] {
  return [a, b, c + (a + b - 1) / 2, d, e, f + (d + e - 1) / 2]
}
