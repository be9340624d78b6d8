/**
 * How long the waving forearm's edges are blurred, on the mean of lines across it: of an edge that rises evenly over a length L
 *
 *   ∫ α(1 − α) ds = L / 6
 *
 * so both edges together give L = 3 ∫ along the line, whatever noise does at single pixels.
 */
import { foreArm } from '../worlds/wall/figure.js'
import type { WallSetting } from '../worlds/wall/setting.js'
import type { Matte } from './errors.js'

const [STATIONS, FROM, TO] = [9, 0.6, 0.95]
const HALF = 62

/** @returns px, on the mean of the frames */
export function armBlur(s: WallSetting, mattes: readonly Matte[]): number {
  let sum = 0
  mattes.forEach((matte, frame) => {
    const { ax, ay, bx, by } = foreArm(s, frame + s.shutter / 2)
    const length = Math.hypot(bx - ax, by - ay)
    const [nx, ny] = [-(by - ay) / length, (bx - ax) / length]
    for (let k = 0; k < STATIONS; k++) {
      const t = FROM + ((TO - FROM) * k) / (STATIONS - 1)
      for (let d = -HALF * s.scale; d <= HALF * s.scale; d += 0.5) {
        const a = at(matte, (ax + t * (bx - ax)) * s.scale + d * nx, (ay + t * (by - ay)) * s.scale + d * ny)
        sum += 0.5 * 3 * a * (1 - a)
      }
    }
  })
  return sum / (STATIONS * mattes.length)
}

function at({ width, height, alpha }: Matte, x: number, y: number): number {
  const [u, v] = [x - 0.5, y - 0.5]
  const [i, j] = [Math.floor(u), Math.floor(v)]
  const [a, b] = [u - i, v - j]
  const one = (di: number, dj: number) =>
    alpha[Math.min(Math.max(j + dj, 0), height - 1) * width + Math.min(Math.max(i + di, 0), width - 1)]
  return (1 - b) * ((1 - a) * one(0, 0) + a * one(1, 0)) + b * ((1 - a) * one(0, 1) + a * one(1, 1))
}
