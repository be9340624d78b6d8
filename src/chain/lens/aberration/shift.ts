/**
 * How far a colour's edge lies from green's in one cell of the picture, along the edge's normal.
 *
 *   C(x + d) = a + b · G(x) − b · s · ∂G/∂n
 *
 *   C  red or blue     G  green     d  the shift that is taken for granted already     s  what is left of it along n
 *
 * Between two materials every colour's edge is green's stretched and moved, so a and b take the colours of both sides. Cells that green
 * does not explain hold more than one edge and are left out. Least squares; s is sure by residual² / (b² Σ (∂G/∂n)²), its part that is
 * no offset and no gain. Source: [lucas1981].
 */
import type { Planes } from './planes.js'

export const CELL = 16
/** Share of a colour's variance in the cell that green must explain. */
const EXPLAINED = 0.85
/** Least rise of an edge, code values: about what a codec does to flat ground, three times. */
const LEAST_RISE = 0.03

export interface Cell {
  /** Which of the pictures. */
  readonly picture: number
  readonly x: number
  readonly y: number
}

export interface Shift {
  /** Where the edge lies in the cell. */
  readonly atX: number
  readonly atY: number
  /** Its normal, towards its bright side. */
  readonly nx: number
  readonly ny: number
  /** Along the normal, all of it: px. */
  readonly along: number
  readonly variance: number
}

/** From what is sampled to what is expected: px, as a function of the place. */
export type Field = (x: number, y: number) => readonly [number, number]

/** Undefined where the cell shows no edge of which both colours tell the same. */
export function shiftIn(
  planes: Planes,
  colour: Float32Array,
  { x, y }: Cell,
  field: Field,
): Shift | undefined {
  const { width, height, green } = planes
  const n = normalOf(green, width, x, y)
  if (n === undefined) return undefined
  const [nx, ny, atX, atY] = n
  const [dx, dy] = field(atX, atY)
  if (x + dx < 0 || y + dy < 0 || x + dx + CELL + 1 >= width || y + dy + CELL + 1 >= height) return undefined
  const [ix, iy] = [Math.floor(dx), Math.floor(dy)]
  const [fx, fy] = [dx - ix, dy - iy]
  let [sg, sn, sc, gg, gn, nn, gc, nc, cc] = [0, 0, 0, 0, 0, 0, 0, 0, 0]
  let [low, high] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY]
  for (let j = y; j < y + CELL; j++) {
    for (let i = x; i < x + CELL; i++) {
      const p = j * width + i
      const g = green[p]!
      const slope =
        0.5 * (nx * (green[p + 1]! - green[p - 1]!) + ny * (green[p + width]! - green[p - width]!))
      const q = p + iy * width + ix
      const top = colour[q]! + fx * (colour[q + 1]! - colour[q]!)
      const bottom = colour[q + width]! + fx * (colour[q + width + 1]! - colour[q + width]!)
      const c = top + fy * (bottom - top)
      sg += g
      sn += slope
      sc += c
      gg += g * g
      gn += g * slope
      nn += slope * slope
      gc += g * c
      nc += slope * c
      cc += c * c
      if (g < low) low = g
      if (g > high) high = g
    }
  }
  if (high - low < LEAST_RISE) return undefined
  const count = CELL * CELL
  gg -= (sg * sg) / count
  gn -= (sg * sn) / count
  nn -= (sn * sn) / count
  gc -= (sg * sc) / count
  nc -= (sn * sc) / count
  cc -= (sc * sc) / count
  const own = nn - (gn * gn) / gg
  const moved = (nc - (gn * gc) / gg) / own
  const b = (gc - gn * moved) / gg
  const left = cc - b * gc - moved * nc
  if (!(b > 0.1 && own > 0 && left < (1 - EXPLAINED) * cc)) return undefined
  const along = dx * nx + dy * ny - moved / b
  return { atX, atY, nx, ny, along, variance: Math.max(left, 1e-9) / (count - 3) / (b * b * own) }
}

/** Main direction of the gradient (structure tensor), towards the bright side, and its middle; undefined on flat ground. */
function normalOf(
  green: Float32Array,
  width: number,
  x: number,
  y: number,
): readonly [number, number, number, number] | undefined {
  let [xx, xy, yy, mx, my, atX, atY] = [0, 0, 0, 0, 0, 0, 0]
  for (let j = y; j < y + CELL; j++) {
    for (let i = x; i < x + CELL; i++) {
      const p = j * width + i
      const gx = green[p + 1]! - green[p - 1]!
      const gy = green[p + width]! - green[p - width]!
      xx += gx * gx
      xy += gx * gy
      yy += gy * gy
      mx += gx
      my += gy
      atX += (gx * gx + gy * gy) * i
      atY += (gx * gx + gy * gy) * j
    }
  }
  const spread = Math.hypot((xx - yy) / 2, xy)
  if (!(spread > 0)) return undefined
  const major = (xx + yy) / 2 + spread
  const [vx, vy] = Math.abs(xy) > 1e-12 ? [major - yy, xy] : xx >= yy ? [1, 0] : [0, 1]
  const length = Math.hypot(vx, vy)
  const towards = vx * mx + vy * my < 0 ? -1 : 1
  const total = xx + yy
  return [(towards * vx) / length, (towards * vy) / length, atX / total + 0.5, atY / total + 0.5]
}
