/**
 * A corner to a small part of a pixel: the place from which every slope around it lies across the way to it.
 *
 *   Σ w·g·gᵀ·(q − p) = 0        p  a pixel near the corner      g  its slope      q  the corner      w  a gaussian about q
 *
 * On an edge that runs to the corner g is across p − q; within a square g is 0. Source: [forstner1987].
 */
import { type LightPicture, valueAt } from '../picture.js'

const STEPS = 40
/** px: a step so short ends it. */
const NEAR = 1e-3

/** @param half of the square that is looked at, px. @returns nothing where it wanders off or has no corner */
export function refined(
  picture: LightPicture,
  x0: number,
  y0: number,
  half: number,
): readonly [number, number] | undefined {
  let [x, y] = [x0, y0]
  for (let step = 0; step < STEPS; step++) {
    let [xx, xy, yy, bx, by] = [0, 0, 0, 0, 0]
    for (let j = -half; j <= half; j++) {
      for (let i = -half; i <= half; i++) {
        const [px, py] = [x + i, y + j]
        const gx = (valueAt(picture, px + 1, py) - valueAt(picture, px - 1, py)) / 2
        const gy = (valueAt(picture, px, py + 1) - valueAt(picture, px, py - 1)) / 2
        const w = weight(i, half) * weight(j, half)
        xx += w * gx * gx
        xy += w * gx * gy
        yy += w * gy * gy
        bx += w * (gx * gx * px + gx * gy * py)
        by += w * (gx * gy * px + gy * gy * py)
      }
    }
    const area = xx * yy - xy * xy
    if (!(area > 1e-6 * (xx + yy) ** 2)) return undefined
    const [u, v] = [(bx * yy - by * xy) / area, (by * xx - bx * xy) / area]
    const moved = Math.sqrt((u - x) ** 2 + (v - y) ** 2)
    x = u
    y = v
    if (Math.sqrt((x - x0) ** 2 + (y - y0) ** 2) > half) return undefined
    if (moved < NEAR) break
  }
  return [x, y]
}

/** Falls to a third at the border. */
function weight(i: number, half: number): number {
  const v = 1 / (1 + (i * i) / (8 * half * half))
  return v ** 8
}
