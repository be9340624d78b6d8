/**
 * Where the edge of a keyed element lies in the keyed frame before or after: block by block, from where a flow says it is roughly.
 *
 *   v       the least of Σ (P(x) − P′(x + v))² / samples over 16×16 px about the block's middle, light and coverage alike
 *   close   (1 − the greater of that over 4 · 0.2², and over a quarter of Σ P² / samples)², not below 0
 *
 * Steps of 2, 1, ½ and ¼ px go down from the best of: no motion, the flow there, and the flow 8 px to each side. Where no place fits, as
 * where something comes out from behind something, `close` is 0.
 *
 * Source: block matching by gradient descent, common practice; sizes are choices.
 */
import type { FloatImage } from '../../../core/index.js'

export const BLOCK = 8
const HALF = 8
const EVERY = 2
const STEPS = [2, 1, 0.5, 0.25]
const MOVES = 6
/** What may be left: root mean square of light and coverage, and share of what there is. */
const WORST = 0.2
const WORST_SHARE = 0.25
/** Mean square below which there is nothing. */
const NOTHING = 1e-6
const LEAST_SAMPLES = 24
const ASIDE = 8

/** From a place in one frame to that in the other, px, into `out`. */
export type Rough = (x: number, y: number, out: Float64Array) => void

export interface Ways {
  readonly columns: number
  readonly rows: number
  readonly dx: Float32Array
  readonly dy: Float32Array
  /** How well it fits, 0 to 1; 0 away from edges. */
  readonly close: Float32Array
}

/** Blocks with an edge in them or beside them: 1. @param image premultiplied */
export function edgeBlocks({ region: { width, height }, data }: FloatImage): Uint8Array {
  const [columns, rows] = gridOf(width, height)
  const has = new Uint8Array(columns * rows)
  for (let y = 0, p = 0; y < height; y++)
    for (let x = 0; x < width; x++, p++) {
      const a = data[4 * p + 3] as number
      if (a > 0 && a < 1) has[Math.floor(y / BLOCK) * columns + Math.floor(x / BLOCK)] = 1
    }
  return has.map((_, b) => {
    const [i, j] = [b % columns, Math.floor(b / columns)]
    for (let v = Math.max(j - 1, 0); v <= Math.min(j + 1, rows - 1); v++)
      for (let u = Math.max(i - 1, 0); u <= Math.min(i + 1, columns - 1); u++)
        if (has[v * columns + u] === 1) return 1
    return 0
  })
}

export function gridOf(width: number, height: number): readonly [columns: number, rows: number] {
  return [Math.ceil(width / BLOCK), Math.ceil(height / BLOCK)]
}

/** @param own, other premultiplied, of one size @param blocks those that are asked */
export function waysBetween(own: FloatImage, other: FloatImage, rough: Rough, blocks: Uint8Array): Ways {
  const { width, height } = own.region
  const [columns, rows] = gridOf(width, height)
  const made = {
    ...{ columns, rows, dx: new Float32Array(blocks.length), dy: new Float32Array(blocks.length) },
    close: new Float32Array(blocks.length),
  }
  const guess = new Float64Array(2)
  for (let b = 0; b < blocks.length; b++) {
    if (blocks[b] === 0) continue
    const [x, y] = [((b % columns) + 0.5) * BLOCK, (Math.floor(b / columns) + 0.5) * BLOCK]
    let [u, v, least] = [0, 0, costOf(own, other, x, y, 0, 0)]
    const ask = (a: number, c: number): boolean => {
      const cost = costOf(own, other, x, y, a, c)
      if (!(cost < least)) return false
      ;[u, v, least] = [a, c, cost]
      return true
    }
    for (const [i, j] of [
      [0, 0],
      [-ASIDE, 0],
      [ASIDE, 0],
      [0, -ASIDE],
      [0, ASIDE],
    ] as const) {
      rough(x + i, y + j, guess)
      ask(Math.round(2 * (guess[0] as number)) / 2, Math.round(2 * (guess[1] as number)) / 2)
    }
    for (const step of STEPS)
      for (let k = 0, moved = true; moved && k < MOVES; k++) {
        const [a, c] = [u, v]
        moved = false
        for (let j = -1; j <= 1; j++)
          for (let i = -1; i <= 1; i++)
            if (i !== 0 || j !== 0) moved = ask(a + i * step, c + j * step) || moved
      }
    const held = energyAt(own, x, y)
    const share = held < NOTHING ? 1 : least / (WORST_SHARE * held)
    const off = Math.min(Math.max(least / (4 * WORST * WORST), share), 1)
    made.dx[b] = u
    made.dy[b] = v
    made.close[b] = (1 - off) ** 2
  }
  return made
}

/** Mean square of what a block's window holds. */
function energyAt({ region: { width, height }, data }: FloatImage, x: number, y: number): number {
  let [sum, n] = [0, 0]
  for (let q = Math.max(y - HALF, 0); q < Math.min(y + HALF, height); q += EVERY)
    for (let p = Math.max(x - HALF, 0); p < Math.min(x + HALF, width); p += EVERY, n++)
      for (let i = 4 * (q * width + p), c = 0; c < 4; c++) sum += (data[i + c] as number) ** 2
  return sum / Math.max(n, 1)
}

function costOf(own: FloatImage, other: FloatImage, x: number, y: number, u: number, v: number): number {
  const { width, height } = own.region
  const [iu, iv] = [Math.floor(u), Math.floor(v)]
  const [a, b] = [u - iu, v - iv]
  const [w00, w10, w01, w11] = [(1 - a) * (1 - b), a * (1 - b), (1 - a) * b, a * b]
  const [left, right] = [Math.max(x - HALF, -iu, 0), Math.min(x + HALF, width - 1 - iu, width)]
  const [top, bottom] = [Math.max(y - HALF, -iv, 0), Math.min(y + HALF, height - 1 - iv, height)]
  const [from, to] = [own.data, other.data]
  let [sum, n] = [0, 0]
  for (let q = top; q < bottom; q += EVERY) {
    for (let p = left; p < right; p += EVERY) {
      const i = 4 * (q * width + p)
      const j = 4 * ((q + iv) * width + p + iu)
      const k = j + 4 * width
      n++
      for (let c = 0; c < 4; c++) {
        const there =
          w00 * (to[j + c] as number) +
          w10 * (to[j + 4 + c] as number) +
          w01 * (k < to.length ? (to[k + c] as number) : 0) +
          w11 * (k < to.length ? (to[k + 4 + c] as number) : 0)
        const d = (from[i + c] as number) - there
        sum += d * d
      }
    }
  }
  return n < LEAST_SAMPLES ? Number.POSITIVE_INFINITY : sum / n
}
