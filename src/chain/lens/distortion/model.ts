/**
 * Lens distortion: where a lens draws a point that a lens without distortion draws at (x, y), in the form that its numbers belong to.
 *
 * Everywhere x and y count from where the lens's axis meets the picture, right and down, and 1 is half the picture's short side: the
 * unit of the published lens profiles, so that their numbers stand as they are and no focal length needs to be known.
 */
import { brownDistort, brownUndistort } from './brown.js'
import { mapWays } from './map.js'
import { outward, profileOf } from './radial.js'

export const distortionForms = ['brown-conrady', 'division', 'ptlens', 'poly3', 'poly5', 'map'] as const
export type DistortionForm = (typeof distortionForms)[number]

/** Plain data: a form and as many numbers as it has. */
export interface Distortion {
  readonly form: DistortionForm
  readonly terms: readonly number[]
  /** Where the lens's axis meets the picture, from the picture's middle; there when absent. */
  readonly axis?: readonly [number, number] | undefined
}

type Way = (x: number, y: number) => [number, number]

/** Both ways through one lens, about its axis. */
export interface DistortionWays {
  /** Undistorted to distorted. */
  readonly distort: Way
  /** Distorted to undistorted. @throws Problem `lens.distortion-folds` where the lens draws two points at one place, or none */
  readonly undistort: Way
}

/**
 * @param reach half the picture's width and height, in half its short side; only a map needs it
 * @throws Problem `lens.distortion-folds`, in the way that has no formula of its own
 */
export function distortionWays(
  { form, terms }: Distortion,
  reach: readonly [number, number] = [1, 1],
): DistortionWays {
  if (form === 'map') {
    if (terms.length === 0) return { distort: (x, y) => [x, y], undistort: (x, y) => [x, y] }
    const { straight, bent } = mapWays(terms, reach)
    return { distort: bent, undistort: straight }
  }
  if (form === 'brown-conrady') {
    const [k1 = 0, k2 = 0, p1 = 0, p2 = 0, k3 = 0] = terms
    const all = [k1, k2, p1, p2, k3] as const
    return { distort: (x, y) => brownDistort(all, x, y), undistort: (x, y) => brownUndistort(all, x, y) }
  }
  const { told, sought } = outward(profileOf(form, terms), `${form} ${terms.join(', ')}`)
  // The division model says where a point of the picture comes from; the others where one goes.
  return form === 'division' ? { distort: sought, undistort: told } : { distort: told, undistort: sought }
}

/** Whether the lens bends nothing: with numbers of 0 every form is the identity. */
export function isStraight({ terms }: Distortion): boolean {
  return terms.every((k) => k === 0)
}
