/**
 * Brown-Conrady: radial and decentring distortion.
 *
 *   x_d = x·(1 + k1·r² + k2·r⁴ + k3·r⁶) + 2·p1·x·y + p2·(r² + 2·x²)      r² = x² + y²
 *   y_d = y·(1 + k1·r² + k2·r⁴ + k3·r⁶) + p1·(r² + 2·y²) + 2·p2·x·y
 *
 *   x, y  from the lens's axis, right and down; 1 is half the short side      k1, k2, k3  radial      p1, p2  decentring
 *
 * A calibration in focal lengths (f pixels, short side h) turns into it by h/2f to the power of the term: k1·(h/2f)², k2·(h/2f)⁴,
 * k3·(h/2f)⁶, p·(h/2f).
 *
 * The way back is Newton's iteration until the last step is below 1e-10 (5e-8 px at 1080p), at most 32 steps. Holds where the
 * picture does not fold over. Source: [brown1971].
 */
import { foldsOver, LAST_STEP, MOST_STEPS } from './folds.js'

/** k1, k2, p1, p2, k3. */
export type Brown = readonly [number, number, number, number, number]

/** Undistorted to distorted. */
export function brownDistort([k1, k2, p1, p2, k3]: Brown, x: number, y: number): [number, number] {
  const r2 = x * x + y * y
  const radial = 1 + r2 * (k1 + r2 * (k2 + r2 * k3))
  return [
    x * radial + 2 * p1 * x * y + p2 * (r2 + 2 * x * x),
    y * radial + p1 * (r2 + 2 * y * y) + 2 * p2 * x * y,
  ]
}

/**
 * Distorted to undistorted.
 *
 * @throws Problem `lens.distortion-folds` where the lens draws two points at one place, or none
 */
export function brownUndistort(d: Brown, xd: number, yd: number): [number, number] {
  const [k1, k2, p1, p2, k3] = d
  let x = xd
  let y = yd
  for (let i = 0; i < MOST_STEPS; i++) {
    const [atX, atY] = brownDistort(d, x, y)
    const r2 = x * x + y * y
    const radial = 1 + r2 * (k1 + r2 * (k2 + r2 * k3))
    const slope = 2 * (k1 + r2 * (2 * k2 + r2 * 3 * k3))
    const xx = radial + x * x * slope + 2 * p1 * y + 6 * p2 * x
    const xy = x * y * slope + 2 * p1 * x + 2 * p2 * y
    const yy = radial + y * y * slope + 6 * p1 * y + 2 * p2 * x
    const area = xx * yy - xy * xy
    if (!(area > 0)) break
    const stepX = ((xd - atX) * yy - (yd - atY) * xy) / area
    const stepY = ((yd - atY) * xx - (xd - atX) * xy) / area
    x += stepX
    y += stepY
    if (Math.abs(stepX) + Math.abs(stepY) < LAST_STEP) return [x, y]
  }
  throw foldsOver(`k1, k2, p1, p2, k3 = ${d.join(', ')}`)
}
