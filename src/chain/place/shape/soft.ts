/**
 * Soft border: how much of each pixel a shape covers by the distance of its outline.
 *
 *   h = s²·(3 − 2·s)      s = ½ + d/w, held to 0 … 1
 *
 *   d  distance of the nearest point of the outline, positive inside     px
 *   w  width of the border (feather), half of it on each side             px  w > 0
 *
 * The distance is the true one, so a corner is rounded outside and stays a corner inside. What is thinner than its border is
 * nowhere whole: the middle of a strip t wide, t ≪ w, has ½ + ¾·t/w.
 *
 * A pixel gets the mean over a grid of points in it, finer the narrower the border is, each with the mean of h along a stretch as
 * long as the grid's step: at a straight border this is the mean over its square up to the fourth order.
 */
import type { Region } from '../../../core/index.js'
import type { NearMoment } from './pieces.js'
import { scratch } from './scratch.js'
import { type AddBlock, BLOCK, FULL, type Grid, gridOver, Sum } from './sum.js'

/** Steps of the table of h, from the outline to where it ends. */
const STEPS = 4096
/** Grid points by which what is looked at is wider than need be, for rounding's sake. */
const SLACK = 0.01

const squaresOf = scratch((n) => new Float32Array(n).fill(Infinity))

/** 0 to 1 a pixel of the region, the mean over moments, into `out` from `at` on. */
export function softCoverage(
  moments: readonly NearMoment[],
  { fine, far, share }: Border,
  region: Region,
  out: Float32Array,
  at: number,
): void {
  const grid = gridOver(region, fine)
  const squares = squaresOf(grid.width * grid.height)
  const sum = new Sum(grid)
  const most = far * far
  const scale = STEPS / far
  const shift = fine >> 1 // of 1, 2 and 4: 0, 1 and 2
  const { turns } = grid
  const block: AddBlock = (first, count, turn, turned, into, pixel) => {
    let now = turned
    for (let i = 0; i < count; i++) {
      now += turns[turn + i] as number
      turns[turn + i] = 0
      const square = squares[first + i] as number
      squares[first + i] = Infinity
      const inside = square < most ? (share[(Math.sqrt(square) * scale) | 0] as number) : FULL
      const p = pixel + (i >> shift)
      into[p] = (into[p] as number) + (now === 0 ? FULL - inside : inside)
    }
    return now
  }
  for (const moment of moments) {
    draw(moment, fine, far, grid, squares)
    sum.add(block)
  }
  sum.mean(out, at)
}

/** A soft border in points of its grid. */
export interface Border {
  /** Points a pixel each way. */
  readonly fine: number
  /** Beyond this distance all is inside or outside. */
  readonly far: number
  /** By distance inside, in steps up to `far`: h averaged over one step of the grid, FULL where it is 1. */
  readonly share: Int32Array
}

/** Of the feathers of one document; a table each. */
const KEPT = 16
const borders = new Map<number, Border>()

export function borderOf(featherPx: number): Border {
  const known = borders.get(featherPx) ?? newBorder(featherPx)
  if (borders.size >= KEPT) borders.clear()
  borders.set(featherPx, known)
  return known
}

function newBorder(featherPx: number): Border {
  const fine = featherPx >= 6 ? 1 : featherPx >= 3 ? 2 : 4
  const width = fine * featherPx
  const far = width / 2 + 0.5
  // ∫ h ds
  const whole = (s: number) => (s <= 0 ? 0 : s >= 1 ? s - 0.5 : s * s * s * (1 - s / 2))
  const half = 0.5 / width
  const share = Int32Array.from({ length: STEPS + 1 }, (_, i) => {
    const s = 0.5 + ((i + 0.5) * far) / STEPS / width
    return Math.min(Math.round((FULL * (whole(s + half) - whole(s - half))) / (2 * half)), FULL)
  })
  return { fine, far, share }
}

/** Squared distance to the nearest piece, as far as it is wanted, and the turns of the line round each point. */
function draw(
  { line, bends, pieces }: NearMoment,
  fine: number,
  far: number,
  g: Grid,
  squares: Float32Array,
): void {
  const count = line.length / 2
  for (const i of pieces) {
    const j = (i + 1) % count
    const x0 = fine * (line[2 * i] as number)
    const y0 = fine * (line[2 * i + 1] as number)
    const x1 = fine * (line[2 * j] as number)
    const y1 = fine * (line[2 * j + 1] as number)
    near(x0, y0, x1, y1, far, (bends[i] as number) * far, (bends[j] as number) * far, g, squares)
    turn(x0, y0, x1, y1, g)
  }
}

/** What is nearer than `far` to a piece, as far as `e0` and `e1` beyond its ends. */
function near(
  x0: number,
  y0: number,
  x1: number,
  y1: number,
  far: number,
  e0: number,
  e1: number,
  g: Grid,
  squares: Float32Array,
): void {
  const first = Math.max(Math.floor(Math.min(y0, y1) - far), g.y)
  const end = Math.min(Math.ceil(Math.max(y0, y1) + far), g.y + g.height)
  if (first >= end) return
  const dx = x1 - x0
  const dy = y1 - y0
  const long = dx * dx + dy * dy
  if (long === 0) return
  const per = 1 / long
  const length = Math.sqrt(long)
  const [before, after] = [-(e0 + SLACK) * length, (length + e1 + SLACK) * length]
  // Along a row the line's own strip is this wide on each side.
  const strip = dy === 0 ? Infinity : (far * length) / Math.abs(dy)
  const left = Math.min(x0, x1) - far
  const right = Math.max(x0, x1) + far
  for (let row = first; row < end; row++) {
    const py = row + 0.5 - y0
    const middle = dy === 0 ? x0 : x0 + (py * dx) / dy
    if (dx === 0 && (py * dy < before || py * dy > after)) continue
    const a = dx === 0 ? -Infinity : x0 + (before - py * dy) / dx
    const b = dx === 0 ? Infinity : x0 + (after - py * dy) / dx
    const from = Math.max(Math.floor(Math.max(left, middle - strip, Math.min(a, b))), g.x)
    const to = Math.min(Math.ceil(Math.min(right, middle + strip, Math.max(a, b))), g.x + g.width)
    if (from >= to) continue
    let p = (row - g.y) * g.width + from - g.x
    for (let column = from; column < to; column++, p++) {
      const px = column + 0.5 - x0
      const t = Math.min(Math.max((px * dx + py * dy) * per, 0), 1)
      const ex = px - t * dx
      const ey = py - t * dy
      const square = ex * ex + ey * ey
      if (square < (squares[p] as number)) squares[p] = square
    }
    mix(g, row - g.y, from - g.x, to - g.x)
  }
}

function mix(g: Grid, row: number, from: number, to: number): void {
  const end = row * g.blocks + Math.floor((to - 1) / BLOCK)
  for (let b = row * g.blocks + Math.floor(from / BLOCK); b <= end; b++) g.mixed[b] = 1
}

/** Rows whose middle the piece crosses wind by one right of it. */
function turn(x0: number, y0: number, x1: number, y1: number, g: Grid): void {
  if (y0 === y1) return
  const down = y0 < y1
  const [xa, ya, xb, yb] = down ? [x0, y0, x1, y1] : [x1, y1, x0, y0]
  const first = Math.max(Math.ceil(ya - 0.5), g.y)
  const end = Math.min(Math.ceil(yb - 0.5), g.y + g.height)
  for (let row = first; row < end; row++) {
    const x = xa + ((row + 0.5 - ya) * (xb - xa)) / (yb - ya)
    const after = Math.min(Math.max(Math.ceil(x - 0.5) - g.x, 0), g.width)
    const at = (row - g.y) * (g.width + 1) + after
    g.turns[at] = (g.turns[at] as number) + (down ? FULL : -FULL)
    if (after < g.width) mix(g, row - g.y, after, after + 1)
  }
}
