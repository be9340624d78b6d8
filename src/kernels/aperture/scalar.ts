/** The blur into an aperture in plain TypeScript: what `simd.ts` must equal to the bit. */
import { emptyImage, type FloatImage, grow, type Region } from '../../core/index.js'
import { apertureReach } from './apply.js'
import { cellsOf } from './cells.js'
import type { Aperture } from './shape.js'
import { type Stencil, type StencilRow, stencilOf } from './stencil.js'

const { fround } = Math
const LIMIT = 65504
const STEP = 2 ** -19
/** Adding and taking away 1.5·2²³ rounds a float to a whole number, halves to even. */
const ROUND = 1.5 * 2 ** 23
const NONE = [0, 0] as const

/** See `apply.ts`; `radius` 0.3 or more. */
export function apertureBlur(src: FloatImage, radius: number, a: Aperture, frame: Region): FloatImage {
  const out = emptyImage(grow(src.region, apertureReach(radius, a)))
  for (const { region, toward } of cellsOf(src.region, a, frame)) {
    const stencil = stencilOf(a, radius, toward)
    for (let c = 0; c < 4; c++) {
      for (let y = 0; y < region.height; y++) {
        const loaded = load(src, region, y, c, 2 * stencil.reach + 1)
        for (const row of stencil.rows) spread(loaded, row, stencil, out, region, y, c)
      }
    }
  }
  return out
}

interface Loaded {
  readonly pad: number
  readonly row: Float32Array
  readonly low: Int32Array
  readonly high: Int32Array
}

/** A row of a part between zeros: the rounded values, and the prefix sums of both their parts. */
function load({ region, data }: FloatImage, part: Region, y: number, c: number, pad: number): Loaded {
  const row = new Float32Array(part.width + 2 * pad)
  const low = new Int32Array(row.length + 1)
  const high = new Int32Array(row.length + 1)
  const from = (part.y + y - region.y) * region.width + part.x - region.x
  for (let i = 0; i < row.length; i++) {
    const inside = i >= pad && i < pad + part.width
    const v = inside ? data[4 * (from + i - pad) + c] : 0
    const held = v - v === 0 ? Math.min(Math.max(v, -LIMIT), LIMIT) : 0
    const h = fround(fround(held / 8) + ROUND) - ROUND
    const l = fround(fround((held - 8 * h) / STEP) + ROUND) - ROUND
    row[i] = fround(8 * h + l * STEP)
    low[i + 1] = low[i] + l
    high[i + 1] = high[i] + h
  }
  return { pad, row, low, high }
}

/** What a loaded row gives one row of the picture: the run with two edges, then the others two by two. */
function spread(
  { pad, row, low, high }: Loaded,
  { row: down, from, to, edges }: StencilRow,
  { weight, reach }: Stencil,
  { region, data }: FloatImage,
  part: Region,
  y: number,
  c: number,
): void {
  const start = (part.y + y + down - region.y) * region.width + part.x - region.x
  const first = to > from ? 2 : 0
  for (let next = 0; next < Math.max(edges.length, first); next += 2) {
    const [left, w] = edges[next] ?? NONE
    const [right, v] = edges[next + 1] ?? NONE
    const whole = next < first
    for (let x = -reach; x < part.width + reach; x++) {
      const i = x + pad
      let sum = fround(w * row[i - left])
      if (whole) {
        const l = fround(fround((low[i - from + 1] - low[i - to + 1]) | 0) * STEP)
        const h = fround(((high[i - from + 1] - high[i - to + 1]) | 0) * 8)
        sum = fround(fround(weight * fround(l + h)) + sum)
      }
      data[4 * (start + x) + c] += fround(sum + fround(v * row[i - right]))
    }
  }
}
