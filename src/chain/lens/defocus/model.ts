/**
 * Circle of confusion: how wide a point at `d` blurs on the sensor when a thin lens is focused at `s`.
 *
 *   c = |d − s| / d · f² / (N · (s − f))
 *
 *   c  blur diameter on the sensor  mm
 *   f  focal length                 mm  f > 0
 *   N  f-number                     –   N > 0; a T-number understates the blur
 *   s  focus distance               mm  s > f, from the principal plane
 *   d  subject distance             mm  d > 0, same origin
 *
 * Holds for a thin lens free of aberration. Not for tilt or strong macro. Source: [pharr2023 §5.2.3], [potmesil1981].
 * @example 50 mm, f/2.8, focused at 3 m, subject at 5 m → 0.121065 mm
 */
import { Problem } from '../../../core/index.js'

export interface LensFacts {
  readonly focalLengthMm: number
  readonly fNumber: number
  readonly focusM: number
}

/**
 * Diameter in mm on the sensor; `distanceM` may be Infinity.
 *
 * @throws Problem `lens.focus-inside-focal-length` when s ≤ f
 */
export function circleOfConfusion(lens: LensFacts, distanceM: number): number {
  const f = lens.focalLengthMm
  const s = lens.focusM * 1000
  if (s <= f) {
    throw new Problem({
      code: 'lens.focus-inside-focal-length',
      what: 'The lens cannot be focused nearer than its focal length',
      where: 'camera.focusM',
      expected: `more than ${f / 1000} m`,
      received: `${lens.focusM} m`,
      remedy:
        'Write camera.focusM in metres from the sensor, camera.focalLengthMm in millimetres; leave the distance out where it is not known.',
    })
  }
  const away =
    distanceM === Number.POSITIVE_INFINITY ? 1 : Math.abs(distanceM * 1000 - s) / (distanceM * 1000)
  return (away * f * f) / (lens.fNumber * (s - f))
}

/** Radius in plate pixels of a circle of `diameterMm` on a sensor this wide. */
export function radiusPx(diameterMm: number, sensorWidthMm: number, plateWidthPx: number): number {
  return (diameterMm / 2) * (plateWidthPx / sensorWidthMm)
}
