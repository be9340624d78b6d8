/** The gaussian's passes over rows in the kernels' memory; regions and taps as `plan.ts` gives them. */
import type { Region } from '../../core/index.js'
import { takeBytes, words } from '../wasm/memory.js'
import { simd } from '../wasm/module.js'
import { type GaussianPlan, type Grids, splineWeights } from './plan.js'

/** Pixels in the kernels' memory, row by row. */
interface Plane {
  readonly start: number
  readonly region: Region
}

/** The picture at `from`, halved as often as the plan says. */
export function shrink(from: number, region: Region, { known }: Grids): Plane {
  return known.slice(1).reduce((plane: Plane, to, l) => halve(plane, known[l], to), { start: from, region })
}

/** @param known the part of `src` that is looked at */
function halve(src: Plane, known: Region, to: Region): Plane {
  const out = takeBytes(16 * to.width * to.height)
  const row = zeroed(2 * to.width + 3)
  const none = zeroed(to.width)
  const line = 16 * to.width
  // Eight rows, of which five are looked at, used again and again.
  const ring = takeBytes(8 * line)
  const end = known.y + known.height
  let next = known.y
  const rowAt = (y: number) => (y < known.y || y >= end ? none : ring + (y & 7) * line)
  for (let y = to.y; y < to.y + to.height; y++) {
    for (; next <= Math.min(2 * y + 2, end - 1); next++) {
      load(src, known, next, row, 2 * to.x - 2)
      simd.halveRow(row, row + 16, row + 32, row + 48, row + 64, 32, to.width, rowAt(next))
    }
    const [a, b, c, d, e] = [-2, -1, 0, 1, 2].map((k) => rowAt(2 * y + k)) as [
      number,
      number,
      number,
      number,
      number,
    ]
    simd.halveRow(a, b, c, d, e, 16, to.width, out + (y - to.y) * line)
  }
  return { start: out, region: to }
}

/** Row `y` of what is known into a row that begins at pixel `x`. */
function load({ start, region }: Plane, known: Region, y: number, row: number, x: number): void {
  const from = start + 16 * ((y - region.y) * region.width + known.x - region.x)
  simd.finiteRow(from, known.width, row + 16 * (known.x - x))
}

/** Rows filtered along themselves, and as many of 0 above and below as the filter down looks at. */
export function filterAcross(src: Plane, { taps }: GaussianPlan, { known, filtered }: Grids): number {
  const half = taps.length - 1
  const line = 16 * filtered.width
  const rows = takeBytes(line * (filtered.height + 2 * half))
  const row = zeroed(filtered.width + 2 * half)
  const weights = words(taps)
  const seen = known[known.length - 1]
  for (let i = 0; i < filtered.height + 2 * half; i++) {
    const y = filtered.y - half + i
    if (y < seen.y || y >= seen.y + seen.height) simd.zero(rows + i * line, line)
    else {
      load(src, seen, y, row, filtered.x - half)
      simd.gaussRow(row + 16 * half, 16, weights, half, filtered.width, rows + i * line)
    }
  }
  return rows
}

/** The rows of `filterAcross`, filtered down. */
export function filterDown(
  rows: number,
  { taps }: GaussianPlan,
  { width, height }: Region,
  out: number,
): void {
  const half = taps.length - 1
  const line = 16 * width
  const weights = words(taps)
  for (let y = 0; y < height; y++) {
    simd.gaussRow(rows + (y + half) * line, line, weights, half, width, out + y * line)
  }
}

/** The rows of `filterAcross`, filtered down and brought up to the frame's own pixels. */
export function enlarge(
  rows: number,
  plan: GaussianPlan,
  filtered: Region,
  region: Region,
  out: number,
): void {
  const { levels, taps } = plan
  const half = taps.length - 1
  const line = 16 * filtered.width
  const wide = 16 * region.width
  const filter = words(taps)
  const weights = words(splineWeights(levels))
  const small = takeBytes(line)
  const ring = takeBytes(4 * wide)
  const first = region.x - (filtered.x << levels)
  let next = filtered.y
  for (let y = region.y; y < region.y + region.height; y++) {
    const at = y >> levels
    for (; next <= at + 2; next++) {
      simd.gaussRow(rows + (next - filtered.y + half) * line, line, filter, half, filtered.width, small)
      simd.splineAcross(small, weights, levels, first, region.width, ring + (next & 3) * wide)
    }
    const [a, b, c, d] = [-1, 0, 1, 2].map((k) => ring + ((at + k) & 3) * wide) as [
      number,
      number,
      number,
      number,
    ]
    const w = weights + 16 * (y & (2 ** levels - 1))
    simd.splineDown(a, b, c, d, w, region.width, out + (y - region.y) * wide)
  }
}

function zeroed(pixels: number): number {
  const start = takeBytes(16 * pixels)
  simd.zero(start, 16 * pixels)
  return start
}
