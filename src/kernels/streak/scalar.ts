/** Blur by motion in plain TypeScript, in single precision: what `simd.ts` must equal to the bit. */
import { emptyImage, type FloatImage, intersect, type Region } from '../../core/index.js'
import { valueAt } from '../warp/between.js'
import { cellsOf } from '../warp/map.js'
import type { StreakMap } from './map.js'

const { fround } = Math

/** See `apply.ts`. */
export function streak(src: FloatImage, map: StreakMap, region: Region): FloatImage {
  const out = emptyImage(region)
  const r = intersect(region, map.frame)
  const [across, down] = cellsOf(map)
  const look = new Look(src)
  for (let y = r.y; y < r.y + r.height; y++) {
    for (let x = r.x; x < r.x + r.width; x++) {
      const o = 4 * ((y - region.y) * region.width + x - region.x)
      const i = Math.min(Math.floor((x - map.frame.x) / map.step), across - 1)
      const j = Math.min(Math.floor((y - map.frame.y) / map.step), down - 1)
      const taps = map.taps[j * across + i]
      const [ax, ay, bx, by] = [0, 1, 2, 3].map((plane) => valueAt(map, map.ends, plane, x, y)) as [
        number,
        number,
        number,
        number,
      ]
      const [vx, vy] = [fround(bx - ax), fround(by - ay)]
      const [cx, cy] = [fround(fround(ax + bx) * 2), fround(fround(ay + by) * 2)]
      const share = fround(1 / taps)
      const sums = new Float32Array(4)
      for (let k = 0; k < taps; k++) {
        const t = fround(fround(fround(k + 0.5) * share) - 0.5)
        const dx = fround(fround(vx + fround(cx * t)) * t)
        const dy = fround(fround(vy + fround(cy * t)) * t)
        for (let c = 0; c < 4; c++) sums[c] += look.at(c, x, dx, y, dy)
      }
      for (let c = 0; c < 4; c++) out.data[o + c] = fround(sums[c] * share)
    }
  }
  return out
}

/** One look at the source between its pixels. */
class Look {
  readonly #src: FloatImage

  constructor(src: FloatImage) {
    this.#src = src
  }

  at(c: number, x: number, dx: number, y: number, dy: number): number {
    const [fx, fy] = [Math.floor(dx), Math.floor(dy)]
    const [wx, wy] = [weights(fround(dx - fx)), weights(fround(dy - fy))]
    let sum = 0
    let low = 0
    for (let j = 0; j < 4; j++) {
      let row = 0
      for (let i = 0; i < 4; i++) {
        const v = this.#pixel(c, x + fx - 1 + i, y + fy - 1 + j)
        const part = fround(wx[i] * v)
        row = i === 0 ? part : fround(row + part)
        low = Math.min(low, v)
      }
      const part = fround(wy[j] * row)
      sum = j === 0 ? part : fround(sum + part)
    }
    const held = sum < 0 ? Math.max(sum, low) : sum
    return c === 3 ? Math.min(held, 1) : held
  }

  #pixel(c: number, x: number, y: number): number {
    const { region, data } = this.#src
    const [u, v] = [x - region.x, y - region.y]
    const inside = u >= 0 && v >= 0 && u < region.width && v < region.height
    return inside ? data[4 * (v * region.width + u) + c] : 0
  }
}

/** Keys 1981 with a = −½. */
function weights(t: number): Float32Array {
  const s = fround(1 - t)
  const h = fround(fround(-0.5 * t) * s)
  const w0 = fround(h * s)
  const w3 = fround(h * t)
  const w1 = fround(fround(s - fround(w0 + w0)) + w3)
  const w2 = fround(fround(t - fround(w3 + w3)) + w0)
  return Float32Array.of(w0, w1, w2, w3)
}
