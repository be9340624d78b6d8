/**
 * Coverage summed over moments and the points of a finer grid, in whole numbers: the sum is the same in whatever order and part
 * of the picture it is made. What an outline goes round is inside, however often and whichever way.
 */
import type { Region } from '../../../core/index.js'
import { scratch } from './scratch.js'

/** Full coverage of one point of the grid at one moment. */
export const FULL = 65536
/** Grid points that are counted together where nothing but inside or outside lies; a power of two. */
export const BLOCK = 16

const turnsOf = scratch((n) => new Int32Array(n))
const mixedOf = scratch((n) => new Uint8Array(n))
const pixelsOf = scratch((n) => new Int32Array(n))
const blocksOf = scratch((n) => new Int32Array(n))

/** A grid of `fine` points a pixel each way over a region. Between moments it is clear: `turns` and `mixed` 0. */
export interface Grid {
  /** Of grid points: column and row of the first one, and how many there are. */
  readonly x: number
  readonly y: number
  readonly width: number
  readonly height: number
  /** Grid points of a pixel each way: 1, 2 or 4. */
  readonly fine: number
  /** Blocks a row. */
  readonly blocks: number
  /** By how much the winding number (FULL a turn) changes from this point on; rows of width + 1. */
  readonly turns: Int32Array
  /** 1 where a block holds more than inside or outside. */
  readonly mixed: Uint8Array
}

/** How one block of a moment is added: its points from `first` on, `count` of them; see `Sum.add`. */
export type AddBlock = (
  first: number,
  count: number,
  turn: number,
  turns: number,
  into: Int32Array,
  pixel: number,
) => number

export function gridOver(r: Region, fine: number): Grid {
  const [width, height] = [fine * r.width, fine * r.height]
  const blocks = Math.ceil(width / BLOCK)
  return {
    ...{ x: fine * r.x, y: fine * r.y, width, height, fine, blocks },
    turns: turnsOf((width + 1) * height),
    mixed: mixedOf(blocks * height),
  }
}

/** One at a time: it works in memory that the next one uses again. */
export class Sum {
  readonly #grid: Grid
  /** By pixel, and by block of the grid in each row of pixels. */
  readonly #pixels: Int32Array
  readonly #blocks: Int32Array
  #moments = 0

  constructor(grid: Grid) {
    this.#grid = grid
    this.#pixels = pixelsOf((grid.width / grid.fine) * (grid.height / grid.fine))
    this.#blocks = blocksOf(grid.blocks * (grid.height / grid.fine))
  }

  /**
   * Adds a moment and clears the grid for the next one.
   *
   * @param block adds the points of a mixed block to `into`, from the pixel's index on, and clears what it has read; it is given the
   * winding number left of the block and where in `turns` its changes begin, and gives the one at the block's end
   */
  add(block: AddBlock): void {
    const { fine, width, height, blocks, turns, mixed } = this.#grid
    const pixels = width / fine
    for (let y = 0; y < height; y++) {
      const row = Math.floor(y / fine)
      const line = (width + 1) * y
      let turned = 0
      for (let b = 0; b < blocks; b++) {
        if (mixed[y * blocks + b] === 0) {
          if (turned !== 0) this.#blocks[row * blocks + b] = (this.#blocks[row * blocks + b] as number) + FULL
          continue
        }
        mixed[y * blocks + b] = 0
        const x = BLOCK * b
        const count = Math.min(BLOCK, width - x)
        turned = block(y * width + x, count, line + x, turned, this.#pixels, row * pixels + x / fine)
      }
      turns[line + width] = 0
    }
    this.#moments++
  }

  /** Means over all moments and points, 0 to 1 a pixel, into rows of `out`; the end of the sum. */
  mean(out: Float32Array, at: number): void {
    const { fine, width, height, blocks } = this.#grid
    const most = FULL * this.#moments * fine * fine
    const [w, h] = [width / fine, height / fine]
    const perBlock = BLOCK / fine
    for (let y = 0, i = 0; y < h; y++) {
      for (let b = 0, x = 0; b < blocks; b++) {
        const whole = fine * (this.#blocks[y * blocks + b] as number)
        for (const end = Math.min(x + perBlock, w); x < end; x++, i++) {
          out[at + i] = ((this.#pixels[i] as number) + whole) / most
        }
      }
    }
    this.#pixels.fill(0)
    this.#blocks.fill(0)
  }
}
