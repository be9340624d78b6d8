/**
 * Black floor: light that a file shot on black holds where there should be none.
 *
 *   C = w · (c − floor)      w = smoothstep(1.5, 3, m)      m = max over channels of (3×3 mean of c − floor) / σ
 *
 * The gate looks at a 3×3 mean, so that a faint edge outlives the noise that a single pixel drowns in.
 * Source: common practice.
 */
import { around, type FloatImage, POINTWISE, type Reach, type Rgb } from '../../../core/index.js'
import { takeFloor } from '../../../kernels/index.js'

/** The gate looks at the pixels around. */
export function floorReach(floor: Rgb, noise: Rgb): Reach {
  return isNone(floor, noise) ? POINTWISE : around(1)
}

/** A floor and noise of 0 leave the picture as it is. */
function isNone(floor: Rgb, noise: Rgb): boolean {
  return floor.every((v) => v === 0) && noise.every((v) => v === 0)
}

/** In place on linear light. */
export function removeFloor(image: FloatImage, floor: Rgb, noise: Rgb): void {
  if (isNone(floor, noise)) return
  takeFloor(image, floor, noise)
}
