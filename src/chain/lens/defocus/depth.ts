/**
 * A blur that follows a depth map.
 *
 *   r = R · (1 − s / d)     below 0 nearer than the focus
 *
 *   R  radius that an endlessly far point has     px     s  distance that is in focus   m     d  distance of what is there   m
 *
 * The circle of confusion of `model.ts` over that of an endlessly far point: R = f² / (2 N (s − f)), in pixels. What has no distance counts
 * as endlessly far. Radii beyond 128 px count as that. Source: [potmesil1981], [pharr2023 §5.2.3].
 * @example R = 8 px, in focus at 2 m: 4 px at 4 m, −8 px at 1 m
 */
import type { RadiusField } from '../../../kernels/index.js'

const WIDEST_PX = 128

export interface DepthBlur {
  readonly focusM: number
  readonly endlessPx: number
}

/** How far away things of the plate are. */
export interface Distances {
  /** Metres at the middle of a pixel; not above 0 and NaN are no distance. */
  readonly at: (x: number, y: number) => number
  /** The nearest of all; infinite where there is none. */
  readonly nearestM: number
}

export function depthField({ focusM, endlessPx }: DepthBlur, { at, nearestM }: Distances): RadiusField {
  const radius = (d: number) => (d > 0 ? endlessPx * (1 - focusM / d) : endlessPx)
  const most = Math.min(Math.max(Math.abs(radius(nearestM)), endlessPx), WIDEST_PX)
  return { at: (x, y) => Math.min(Math.max(radius(at(x, y)), -most), most), most }
}
