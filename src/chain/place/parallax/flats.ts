/**
 * Flats by depth: how many pictures, one behind the other, keep what is inside each of them under the limit.
 *
 *   1/Dᵢ = 1/far + (i − ½)/n · (1/near − 1/far)      n slices of like parallax, thinner towards the camera
 *
 * More flats do not help against a changed view: each still shows the side it was filmed from.
 */
import { type Budget, type Flat, LIMITS, parallaxBudget } from './budget.js'
import type { CameraPath } from './path.js'

export interface Slice {
  readonly distanceM: number
  readonly depthM: number
}

/** Beyond these nobody cuts an element apart by hand (a choice). */
const MOST = 8

/** The fewest that keep the limit, nearest first; undefined where MOST do not. */
export function flatsByDepth(flat: Flat, path: CameraPath): readonly Slice[] | undefined {
  for (let n = 1; n <= MOST; n++) {
    const slices = slicesOf(flat, n)
    const keeps = ({ peak, reached }: Budget) => peak.internalPx <= LIMITS.internalPx && reached === undefined
    if (slices.every((s) => keeps(parallaxBudget({ ...flat, ...s }, path)))) return slices
  }
  return undefined
}

/** Slices of like parallax; each flat hangs in the middle of its own. */
export function slicesOf({ distanceM, depthM }: Flat, n: number): Slice[] {
  const near = 1 / (distanceM - depthM / 2)
  const far = 1 / (distanceM + depthM / 2)
  return Array.from({ length: n }, (_, i) => {
    const from = 1 / (near + ((far - near) * i) / n)
    const to = 1 / (near + ((far - near) * (i + 1)) / n)
    return { distanceM: (from + to) / 2, depthM: to - from }
  })
}
