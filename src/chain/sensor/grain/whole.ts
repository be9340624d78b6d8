/**
 * A block of 16×16 px as it differs from the same place in another frame, its mean left in: products at the pixel and its neighbours, and
 * of means over cells of 4×4 at 4, 8 and 12 px, where the fine grain is not alike any more.
 *
 * Noise in units of the deviation that its level has. A lamp's flicker goes with the level and is taken off.
 */
import type { Block } from './block.js'

export const SIDE = 16
export const CELL = 4
const ACROSS = SIDE / CELL
/** RR, GG, BB, RG, RB, GB. */
export const PAIRS6 = [
  [0, 0],
  [1, 1],
  [2, 2],
  [0, 1],
  [0, 2],
  [1, 2],
] as const
/** At the pixel, at one and two to the right and below, and of cells one, two and three apart. */
export const AT = {
  pixel: 0,
  right1: 1,
  right2: 2,
  down1: 3,
  down2: 4,
  cell1: 5,
  cell2: 6,
  cell3: 7,
} as const
const KINDS = 8
export const MOMENTS = KINDS * 6

export interface Whole16 {
  readonly group: number
  /** Of green. */
  readonly level: number
  /** Means by kind, six pairs each. */
  readonly moments: Float64Array
  /** Square of its mean, over the channels: large where something moved. */
  readonly off: number
}

const room = [0, 1, 2].map(() => new Float64Array(SIDE * SIDE)) as [Float64Array, Float64Array, Float64Array]
const cells = [0, 1, 2].map(() => new Float64Array(ACROSS * ACROSS)) as [
  Float64Array,
  Float64Array,
  Float64Array,
]

/**
 * @param block read, and its noise by the deviation of its level, mean taken off
 * @param mean of R, G, B in those units, less a flicker's
 */
export function wholeOf(block: Block, mean: readonly number[], group: number): Whole16 {
  for (const c of [0, 1, 2] as const) {
    cells[c].fill(0)
    for (let i = 0; i < SIDE * SIDE; i++) {
      const v = block.noise[c][i] as number
      const whole = v / block.larger + (mean[c] as number)
      room[c][i] = whole
      const k = ACROSS * (i >> 6) + ((i & 15) >> 2)
      cells[c][k] = (cells[c][k] as number) + whole / (CELL * CELL)
    }
  }
  const moments = new Float64Array(MOMENTS)
  const put = (
    kind: number,
    of: readonly Float64Array[],
    side: number,
    steps: readonly (readonly [number, number])[],
  ) =>
    PAIRS6.forEach(([a, b], p) => {
      const [u, v] = [of[a] as Float64Array, of[b] as Float64Array]
      let sum = 0
      for (const [dx, dy] of steps) sum += (product(u, v, side, dx, dy) + product(v, u, side, dx, dy)) / 2
      moments[6 * kind + p] = sum / steps.length
    })
  put(AT.pixel, room, SIDE, [[0, 0]])
  put(AT.right1, room, SIDE, [[1, 0]])
  put(AT.right2, room, SIDE, [[2, 0]])
  put(AT.down1, room, SIDE, [[0, 1]])
  put(AT.down2, room, SIDE, [[0, 2]])
  for (const k of [1, 2, 3])
    put(AT.cell1 + k - 1, cells, ACROSS, [
      [k, 0],
      [0, k],
    ])
  const green = block.level[1].reduce((s, v) => s + v, 0) / block.pixels
  return { group, level: green, moments, off: mean.reduce((s, v) => s + v * v, 0) }
}

/** Mean of a(x, y) · b(x + dx, y + dy) over the pairs inside a square. */
function product(a: Float64Array, b: Float64Array, size: number, dx: number, dy: number): number {
  let sum = 0
  const away = dy * size + dx
  for (let y = 0; y + dy < size; y++) {
    for (let i = y * size; i < y * size + size - dx; i++) sum += (a[i] as number) * (b[i + away] as number)
  }
  return sum / ((size - dx) * (size - dy))
}
