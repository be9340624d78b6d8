/**
 * One block of a picture beside the place where it lies in another one: what differs is noise and what motion is left.
 *
 *   d = a(x) − b(x + s)      d ≈ k + v · ∇m + noise      m = (a + b) / 2      noise: 2 σ² (1 + |v|²/8)
 *
 *   s  whole pixels (`shift.ts`)     v  the rest of the motion, px     k  a lamp's flicker
 *
 * m and d are independent where the noise is normal, so a choice by m does not bend σ. v is taken off only where it is beyond
 * chance; a block whose motion makes more of d than noise does says nothing. Source: [lucas1981] for the first-order step; [emva1288] for half the variance of a difference.
 */
import type { FloatImage } from '../../../core/index.js'

/** Chance makes v'Gv / s² this large once in several hundred blocks (χ² with two degrees of freedom). */
const CHANCE = 12

/** About how σ² goes with the level: L + this. A choice. */
const BLACK = 0.02

/** Room for one block; filled anew for each. */
export class Block {
  readonly size: number
  readonly pixels: number
  /** Levels and noise of R, G, B; the noise has the variance of one frame's. */
  readonly level: readonly [Float64Array, Float64Array, Float64Array]
  readonly noise: readonly [Float64Array, Float64Array, Float64Array]
  /** The noise before its mean was taken off and before it was made larger for that. */
  readonly whole: readonly [Float64Array, Float64Array, Float64Array]
  /** What was taken off the noise as its mean, of R, G, B, to the same measure; and by what it was made larger for that. */
  readonly offset: [number, number, number] = [0, 0, 0]
  larger = 1
  /** What is left of its motion, px; none where that is within chance of white noise. */
  motion: readonly [number, number] | undefined
  readonly #gx: Float64Array
  readonly #gy: Float64Array

  constructor(size: number) {
    this.size = size
    this.pixels = size * size
    const room = () => new Float64Array(size * size)
    this.level = [room(), room(), room()]
    this.noise = [room(), room(), room()]
    this.whole = [room(), room(), room()]
    this.#gx = room()
    this.#gy = room()
  }

  /**
   * False where the block moves too much for its texture, or leaves the picture.
   *
   * @param held nothing moves: what looks like motion is noise, which is coarse then
   */
  read(a: FloatImage, b: FloatImage, x: number, y: number, dx: number, dy: number, held = false): boolean {
    const { width, height } = a.region
    const { size, pixels } = this
    if (x < 1 || y < 1 || x + size >= width || y + size >= height) return false
    if (x + dx < 1 || y + dy < 1 || x + dx + size >= width || y + dy + size >= height) return false
    const there = 4 * (dy * width + dx)
    let [xx, xy, yy, xd, yd, dd] = [0, 0, 0, 0, 0, 0]
    for (const c of [0, 1, 2] as const) {
      this.#gather(a.data, b.data, 4 * (y * width + x) + c, there, 4 * width, c)
      const d = this.noise[c]
      for (let i = 0; i < pixels; i++) {
        const [u, v, w] = [this.#gx[i] as number, this.#gy[i] as number, d[i] as number]
        xx += u * u
        xy += u * v
        yy += v * v
        xd += u * w
        yd += v * w
        dd += w * w
      }
    }
    if (!Number.isFinite(dd)) return false
    const det = xx * yy - xy * xy
    const vx = det > 1e-12 * xx * yy ? (yy * xd - xy * yd) / det : 0
    const vy = det > 1e-12 * xx * yy ? (xx * yd - xy * xd) / det : 0
    const explained = vx * xd + vy * yd
    const rest = dd - explained
    const moved = !held && explained * 3 * pixels > CHANCE * rest
    this.motion = moved ? [vx, vy] : undefined
    if (moved && (explained > rest || vx * vx + vy * vy > 0.6)) return false
    this.#scale(a.data, b.data, 4 * (y * width + x), there, 4 * width, moved ? [vx, vy] : [0, 0])
    return true
  }

  /** Levels, centred differences and centred slopes of one channel. */
  #gather(a: Float32Array, b: Float32Array, start: number, there: number, line: number, c: 0 | 1 | 2): void {
    const [level, d, gx, gy] = [this.level[c], this.noise[c], this.#gx, this.#gy]
    let [sd, sx, sy] = [0, 0, 0]
    for (let y = 0, i = 0; y < this.size; y++) {
      for (let x = 0, k = start + y * line; x < this.size; x++, i++, k += 4) {
        const t = k + there
        const [here, now] = [a[k] as number, b[t] as number]
        const right = (a[k + 4] as number) + (b[t + 4] as number)
        const left = (a[k - 4] as number) + (b[t - 4] as number)
        const below = (a[k + line] as number) + (b[t + line] as number)
        const above = (a[k - line] as number) + (b[t - line] as number)
        const [u, v] = [(right - left) / 4, (below - above) / 4]
        level[i] = (here + now) / 2
        d[i] = here - now
        gx[i] = u
        gy[i] = v
        sd += here - now
        sx += u
        sy += v
      }
    }
    this.offset[c] = sd / this.pixels
    const [md, mx, my] = [sd / this.pixels, sx / this.pixels, sy / this.pixels]
    for (let i = 0; i < this.pixels; i++) {
      d[i] = (d[i] as number) - md
      gx[i] = (gx[i] as number) - mx
      gy[i] = (gy[i] as number) - my
    }
  }

  /** Takes the motion off and brings the rest to the variance of one frame's noise. */
  #scale(
    a: Float32Array,
    b: Float32Array,
    start: number,
    there: number,
    line: number,
    [vx, vy]: [number, number],
  ): void {
    const lost = vx === 0 && vy === 0 ? 1 : 1 + 2 / 3
    const one = 1 / Math.sqrt(2 + (vx * vx + vy * vy) / 4)
    this.larger = 1 / Math.sqrt(1 - lost / this.pixels)
    for (const c of [0, 1, 2] as const) {
      const d = this.noise[c]
      if (vx !== 0 || vy !== 0) this.#gather(a, b, start + c, there, line, c)
      this.offset[c] *= one
      for (let i = 0; i < this.pixels; i++)
        d[i] = one * ((d[i] as number) - vx * (this.#gx[i] as number) - vy * (this.#gy[i] as number))
      this.#center(c)
    }
  }

  /** Takes off what all pixels of a channel have in common, each as much of it as its level has noise. */
  #center(c: 0 | 1 | 2): void {
    const [d, whole, level, scale] = [this.noise[c], this.whole[c], this.level[c], this.#gx]
    let sum = 0
    for (let i = 0; i < this.pixels; i++) {
      whole[i] = (d[i] as number) + this.offset[c]
      scale[i] = Math.sqrt(Math.max(level[i] as number, 0) + BLACK)
      sum += (whole[i] as number) / (scale[i] as number)
    }
    const mean = sum / this.pixels
    for (let i = 0; i < this.pixels; i++)
      d[i] = this.larger * ((whole[i] as number) - (scale[i] as number) * mean)
  }
}
