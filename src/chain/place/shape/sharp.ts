/**
 * Share of each pixel's area that lies inside an outline without a soft border: exact for lines that do not cross themselves;
 * of a border that is gone round twice the share counts twice, up to the whole.
 *
 * Each piece of the line adds to the pixels that it crosses the area to its right, and its height to all beyond them in the row.
 * Heights are whole multiples of 1/1024 px, so that what goes down and comes up again leaves nothing.
 *
 * Source: signed areas, common practice of drawing outlines by scan lines.
 */
import type { Region } from '../../../core/index.js'
import type { NearMoment } from './pieces.js'
import { scratch } from './scratch.js'
import { type AddBlock, BLOCK, FULL, type Grid, gridOver, Sum } from './sum.js'

const HEIGHT = 1024

const areasOf = scratch((n) => new Int32Array(n))

/** 0 to 1 a pixel of the region, the mean over moments, into `out` from `at` on. */
export function sharpCoverage(
  moments: readonly NearMoment[],
  region: Region,
  out: Float32Array,
  at: number,
): void {
  const grid = gridOver(region, 1)
  const areas = areasOf(grid.width * grid.height)
  const sum = new Sum(grid)
  const { turns } = grid
  const block: AddBlock = (first, count, turn, turned, into, pixel) => {
    let now = turned
    for (let i = 0; i < count; i++) {
      now += turns[turn + i] as number
      turns[turn + i] = 0
      into[pixel + i] =
        (into[pixel + i] as number) + Math.min(Math.abs(now + (areas[first + i] as number)), FULL)
      areas[first + i] = 0
    }
    return now
  }
  for (const moment of moments) {
    draw(moment, grid, areas)
    sum.add(block)
  }
  sum.mean(out, at)
}

function draw({ line, pieces }: NearMoment, g: Grid, areas: Int32Array): void {
  const count = line.length / 2
  const onStep = (y: number) => Math.round(y * HEIGHT) / HEIGHT
  for (const i of pieces) {
    const j = (i + 1) % count
    const [xa, ya] = [line[2 * i] as number, onStep(line[2 * i + 1] as number)]
    const [xb, yb] = [line[2 * j] as number, onStep(line[2 * j + 1] as number)]
    if (ya === yb) continue
    const down = ya < yb
    const [x0, y0, x1, y1] = down ? [xa, ya, xb, yb] : [xb, yb, xa, ya]
    const slope = (x1 - x0) / (y1 - y0)
    const end = Math.min(Math.ceil(y1), g.y + g.height)
    for (let row = Math.max(Math.floor(y0), g.y); row < end; row++) {
      const [from, to] = [Math.max(y0, row), Math.min(y1, row + 1)]
      const [u, v] = [x0 + (from - y0) * slope, x0 + (to - y0) * slope]
      drawPiece(g, areas, row - g.y, Math.min(u, v), Math.max(u, v), (down ? FULL : -FULL) * (to - from))
    }
  }
}

/** A piece within a row, from x = u to v, of so much height. */
function drawPiece(g: Grid, areas: Int32Array, row: number, u: number, v: number, height: number): void {
  const first = Math.floor(u)
  const last = Math.floor(v)
  const to = Math.min(last, g.x + g.width - 1)
  for (let x = Math.max(first, g.x); x <= to; x++) {
    const column = x - g.x
    areas[row * g.width + column] =
      (areas[row * g.width + column] as number) + Math.round(height * right(x, u, v))
    g.mixed[row * g.blocks + Math.floor(column / BLOCK)] = 1
  }
  const after = Math.min(Math.max(last + 1 - g.x, 0), g.width)
  const turn = row * (g.width + 1) + after
  g.turns[turn] = (g.turns[turn] as number) + height
  if (after < g.width) g.mixed[row * g.blocks + Math.floor(after / BLOCK)] = 1
}

/** Mean over the piece's height of how much of pixel x lies to its right. */
function right(x: number, u: number, v: number): number {
  if (v <= u) return Math.min(Math.max(x + 1 - u, 0), 1)
  // Of the piece's width, what lies left of the pixel counts whole, what lies in it by its middle.
  const [a, b] = [Math.max(u, x), Math.min(v, x + 1)]
  return (Math.max(a - u, 0) + (b - a) * (x + 1 - (a + b) / 2)) / (v - u)
}
