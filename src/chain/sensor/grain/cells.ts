/**
 * What two frames differ by, in means over cells of 2×2 px on one grid over the whole picture; nothing where no block was taken. How much
 * more cells differ the further apart they are tells grain that is many pixels wide from what an even change of light does:
 *
 *   γ_ab(h) = ½ ⟨(z_a(x) − z_a(x + h)) (z_b(x) − z_b(x + h))⟩      h  along either axis or diagonal, px
 *   w_a(h) = ½ ⟨z_a(x)² + z_a(x + h)²⟩      of the same cells: where blocks were left out, far cells are of other places than near ones
 *
 * No mean is taken off, so none has to be put back. Source: [matheron1963] (variogram); [isaaks1988] for cells held against their own.
 */
import { STEPS, stepOf } from './axis.js'
import type { Block } from './block.js'
import { GROUPS, groupOf } from './places.js'

export const CELL = 2
/** Cells apart along x and y: the fine grain is not alike there (`params.ts`: over two px, and chroma spreads it by as much). */
export const APART = [
  ...[3, 4, 5, 6, 8, 10, 12, 16, 20, 24].map((k) => [k, 0] as const),
  ...[2, 3, 4, 6, 8, 12].map((k) => [k, k] as const),
]
/** RR, GG, BB, RG, RB, GB. */
export const PAIRS6 = [
  [0, 0],
  [1, 1],
  [2, 2],
  [0, 1],
  [0, 2],
  [1, 2],
] as const
/** Of a lag: pairs of cells, six sums γ, three sums w. */
export const PARTS = 10
export const PER_STEP = APART.length * PARTS

/** Sums by group of places and step of level in green. */
export type Apart = Float64Array<ArrayBuffer>

export function noneApart(): Apart {
  return new Float64Array(GROUPS * STEPS * PER_STEP)
}

/** One pair of frames. */
export class Cells {
  readonly #width: number
  readonly #height: number
  /** R, G, B of a cell in turn, NaN where nothing is known. */
  readonly #values: Float32Array
  readonly #step: Uint8Array
  /** Which way its block went: only cells of one way lie in each frame as far apart as in the other. */
  readonly #way: Uint16Array
  readonly #ways = new Map<string, number>()

  constructor(width: number, height: number) {
    this.#width = Math.floor(width / CELL)
    this.#height = Math.floor(height / CELL)
    const n = this.#width * this.#height
    this.#values = new Float32Array(3 * n).fill(Number.NaN)
    this.#step = new Uint8Array(n)
    this.#way = new Uint16Array(n)
  }

  /** @param block its whole noise over the deviation of its level */
  put({ whole, level, size }: Block, x: number, y: number, shift: readonly [number, number]): void {
    const way = this.#ways.get(`${shift}`) ?? this.#ways.size
    this.#ways.set(`${shift}`, way)
    for (let v = 0; v < size; v += CELL) {
      for (let u = 0; u < size; u += CELL) {
        const to = ((y + v) / CELL) * this.#width + (x + u) / CELL
        const at = v * size + u
        for (let c = 0; c < 3; c++) {
          const n = whole[c as 0 | 1 | 2]
          const four =
            (n[at] as number) +
            (n[at + 1] as number) +
            (n[at + size] as number) +
            (n[at + size + 1] as number)
          this.#values[3 * to + c] = four / 4
        }
        this.#step[to] = stepOf(level[1][at] as number)
        this.#way[to] = way
      }
    }
  }

  /** As if nothing had been put there. */
  forget(x: number, y: number, size: number): void {
    for (let v = y; v < y + size; v += CELL) {
      const from = 3 * ((v / CELL) * this.#width + x / CELL)
      this.#values.fill(Number.NaN, from, from + (3 * size) / CELL)
    }
  }

  addTo(sums: Apart): void {
    const [w, h] = [this.#width, this.#height]
    const z = this.#values
    for (let y = 0; y < h; y++) {
      for (let x = 0; x < w; x++) {
        const i = y * w + x
        if (Number.isNaN(z[3 * i] as number)) continue
        const base = (groupOf(CELL * x, CELL * y) * STEPS + (this.#step[i] as number)) * PER_STEP
        for (let l = 0; l < APART.length; l++) {
          const [across, down] = APART[l] as (typeof APART)[number]
          if (x + across < w && y + down < h) this.#add(sums, base + l * PARTS, i, i + down * w + across)
          // Along y, or the other diagonal.
          const [left, below] = [down, across]
          if (x >= left && y + below < h) this.#add(sums, base + l * PARTS, i, i + below * w - left)
        }
      }
    }
  }

  /** The differences of two cells, if both are known and went the same way. */
  #add(sums: Apart, to: number, i: number, k: number): void {
    const z = this.#values
    const [r1, g1, b1] = [z[3 * i] as number, z[3 * i + 1] as number, z[3 * i + 2] as number]
    const [r2, g2, b2] = [z[3 * k] as number, z[3 * k + 1] as number, z[3 * k + 2] as number]
    if (Number.isNaN(r2) || this.#way[i] !== this.#way[k]) return
    const [r, g, b] = [r1 - r2, g1 - g2, b1 - b2]
    sums[to] = (sums[to] as number) + 1
    sums[to + 1] = (sums[to + 1] as number) + (r * r) / 2
    sums[to + 2] = (sums[to + 2] as number) + (g * g) / 2
    sums[to + 3] = (sums[to + 3] as number) + (b * b) / 2
    sums[to + 4] = (sums[to + 4] as number) + (r * g) / 2
    sums[to + 5] = (sums[to + 5] as number) + (r * b) / 2
    sums[to + 6] = (sums[to + 6] as number) + (g * b) / 2
    sums[to + 7] = (sums[to + 7] as number) + (r1 * r1 + r2 * r2) / 2
    sums[to + 8] = (sums[to + 8] as number) + (g1 * g1 + g2 * g2) / 2
    sums[to + 9] = (sums[to + 9] as number) + (b1 * b1 + b2 * b2) / 2
  }
}
