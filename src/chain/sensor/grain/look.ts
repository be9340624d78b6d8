/**
 * What the blocks of two frames show of each other: how they went, and what they differ by there.
 *
 * What moves goes as what lies 64 px and more beside it goes; coarse noise seems to move blocks too, but those so far apart each its own way:
 *
 *   share that moved together = share that moved · Σ v·v′ / Σ (|v|² + |v′|²)/2      over blocks v and those beside them v′
 *
 * Source: common practice.
 */
import type { FloatImage } from '../../../core/index.js'
import { Block } from './block.js'
import { EVERYWHERE, type Wanted } from './oneFrame.js'
import { shiftsBetween } from './shift.js'

/** Pictures of fewer pixels have smaller blocks, so that there are enough of them. */
const SMALL = 500_000
/** More blocks add nothing: they are taken from all over the picture, in patches of this side, px, so that what is coarse shows too. */
const MOST_BLOCKS = 5000
const PATCH = 64
/** Share of the blocks that moved together, from which on the picture does. */
const MOVES = 0.1

export interface Seen {
  readonly x: number
  readonly y: number
  readonly shift: readonly [number, number]
  /** Whether nothing is taken for motion there. */
  readonly held: boolean
  readonly level: readonly number[]
  readonly variance: readonly number[]
  /** Mean of the difference, over the level: what a lamp's flicker makes of it is alike all over. */
  readonly rise: readonly number[]
  readonly lag: number
  /** Mean square of what its coarse shape leaves of a slope, over the level: texture, or the edge of something. */
  readonly evenness: number
}

/** Two frames of one plate, and what their blocks show of each other. */
export interface Look {
  readonly a: FloatImage
  readonly b: FloatImage
  readonly only: Wanted
  readonly block: Block
  readonly seen: readonly Seen[]
  readonly moves: boolean
}

export function lookAtPair(a: FloatImage, b: FloatImage, only: Wanted = EVERYWHERE): Look {
  const { width, height } = a.region
  const block = new Block(width * height < SMALL ? 8 : 16)
  return { a, b, only, block, ...lookAt(a, b, block, only) }
}

/** The same blocks where nothing moves: what looks like motion is noise, which is coarse then. */
export function lookHeld({ a, b, only, block }: Look): readonly Seen[] {
  return lookAt(a, b, block, only, true).seen
}

/** @param held nothing moves */
function lookAt(
  a: FloatImage,
  b: FloatImage,
  block: Block,
  only: Wanted,
  held = false,
): { seen: Seen[]; moves: boolean } {
  const { width, height } = a.region
  const { size } = block
  const across = Math.floor(width / size)
  const down = Math.floor(height / size)
  const all = across * down
  const stride = Math.max(1, Math.ceil(all / MOST_BLOCKS))
  const still: [number, number] = [0, 0]
  const shiftAt = held ? () => still : shiftsBetween(a, b, size)
  const seen: Seen[] = []
  const patch = PATCH / size
  const went = new Map<number, readonly [number, number]>()
  let [looked, together, alike] = [0, 0, 0]
  for (let k = 0; k < all; k++) {
    const [i, j] = [k % across, Math.floor(k / across)]
    const here = Math.floor(i / patch) + 3 * Math.floor(j / patch)
    if (here % stride !== 0 || i === 0 || j === 0 || i === across - 1 || j === down - 1) continue
    const [x, y] = [size * i, size * j]
    if (!only(a, a.region.x + x, a.region.y + y, size)) continue
    looked++
    const shift = shiftAt(x, y)
    const read = block.read(a, b, x, y, ...shift, held)
    const { motion } = block
    if (motion !== undefined || shift[0] !== 0 || shift[1] !== 0) {
      const v = [shift[0] + (motion?.[0] ?? 0), shift[1] + (motion?.[1] ?? 0)] as const
      const beside = i < patch * stride ? undefined : went.get(k - patch * stride)
      went.set(k, v)
      if (beside !== undefined) {
        together += v[0] * beside[0] + v[1] * beside[1]
        alike += (v[0] ** 2 + v[1] ** 2 + beside[0] ** 2 + beside[1] ** 2) / 2
      }
    }
    if (!read) continue
    const level = block.level.map(meanOf)
    seen.push({
      ...{ x, y, shift, held, level, evenness: evennessOf(block) },
      rise: level.map((l, c) => (l > 0 ? block.offset[c as 0 | 1 | 2] / l : 0)),
      variance: block.noise.map(squareOf),
      lag: lagOf(block),
    })
  }
  return { seen, moves: alike > 0 && went.size * together > MOVES * looked * alike }
}

function meanOf(of: Float64Array): number {
  let sum = 0
  for (const v of of) sum += v
  return sum / of.length
}

function squareOf(of: Float64Array): number {
  let sum = 0
  for (const v of of) sum += v * v
  return sum / of.length
}

const cells16 = new Float64Array(16)

function evennessOf({ level, size }: Block): number {
  const cell = size / 4
  let sum = 0
  for (const own of level) {
    cells16.fill(0)
    for (let y = 0, i = 0; y < size; y++) {
      const row = 4 * Math.floor(y / cell)
      for (let x = 0; x < size; x++, i++) {
        const k = row + Math.floor(x / cell)
        cells16[k] = (cells16[k] as number) + (own[i] as number)
      }
    }
    let [all, across, down, square] = [0, 0, 0, 0]
    for (let k = 0; k < 16; k++) {
      const v = (cells16[k] as number) / cell ** 2
      all += v
      across += v * ((k % 4) - 1.5)
      down += v * ((k >> 2) - 1.5)
      square += v * v
    }
    const rest = square - all ** 2 / 16 - (across ** 2 + down ** 2) / 20
    sum += Math.max(0, rest) / 16 / (Math.max(all / 16, 0) + 0.02)
  }
  return sum
}

function lagOf({ noise: [, green], size, pixels }: Block): number {
  let [square, beside] = [0, 0]
  for (let i = 0; i < pixels - size; i++) {
    const v = green[i] as number
    square += v * v
    if (i % size < size - 1) beside += (v * ((green[i + 1] as number) + (green[i + size] as number))) / 2
  }
  return square === 0 ? 0 : Math.min(Math.max((beside * size) / ((size - 1) * square), 0), 0.8)
}
