/** What stands beyond the quay: the harbour shed and stacked boxes, a lamp mast, the beacon, the town's line and the headland. */
import { between, chance, fbm, noise, step } from '../chance.js'
import type { Setting } from '../setting.js'
import { crestX } from './stones.js'

export interface Met {
  t: number
  r: number
  g: number
  b: number
}

type Lens = { ox: number; oy: number; dx: number; dy: number }
const NEVER = Number.POSITIVE_INFINITY

/** Axis-parallel box: distance to its front or left or top face; the face's number (0 x, 1 y, 2 z) in `face`. */
let face = 0
function slab(o: Lens, x0: number, x1: number, y0: number, y1: number, z0: number, z1: number): number {
  let near = z0
  let far = z1
  face = 2
  const ix = 1 / (o.dx || 1e-12)
  const a = (x0 - o.ox) * ix
  const b = (x1 - o.ox) * ix
  const xn = Math.min(a, b)
  if (xn > near) {
    near = xn
    face = 0
  }
  far = Math.min(far, Math.max(a, b))
  const iy = 1 / (o.dy || 1e-12)
  const c = (y0 - o.oy) * iy
  const d = (y1 - o.oy) * iy
  const yn = Math.min(c, d)
  if (yn > near) {
    near = yn
    face = 1
  }
  far = Math.min(far, Math.max(c, d))
  return near < far ? near : NEVER
}

export const SHED = { x0: 1.9, x1: 19.5, z0: 112, z1: 125, eaves: 7.9, ridge: 10.3 }

/** The shed: corrugated walls, a sliding door, a lean-to, a roof with a ridge; `e` is the sky's light on its face. */
export function traceShed(s: Setting, o: Lens, e: Float64Array, top: Float64Array, out: Met): void {
  const { x0, x1, z0, z1, eaves, ridge } = SHED
  const t = slab(o, x0, x1, 3, eaves, z0, z1)
  if (t < out.t) {
    const side = face === 0 ? 0.7 : 1
    const x = o.ox + t * o.dx
    const y = o.oy + t * o.dy
    const w = face === 0 ? t : x
    const h = y - 3
    let rho = 0.085 * (0.8 + 0.35 * Math.sin((w * 2 * Math.PI) / 0.24)) * side
    rho *= 1 + 0.5 * fbm(w * 0.7, h * 0.5, 3 + s.seed, 5, 0.6)
    rho *= 1 - 0.45 * step(0, 0.45, fbm(w * 3.1, h * 0.14, 8, 4))
    rho *= 0.72 + 0.5 * step(0, 2.2, h)
    const sheet = Math.floor(w / 1.1)
    rho *= 0.82 + 0.36 * chance(s.seed, sheet, Math.floor(h / 2.5), 51)
    let rust = step(0.15, 0.55, fbm(w * 1.4, h * 0.6, 15, 4)) * 0.8
    // Sliding door, left open a gap; a small door; a row of dirty panes.
    const door = w - 6.2
    if (door > 0 && door < 4.4 && h < 3.9) {
      rho *= door < 0.55 ? 0.1 : 0.62
      rust *= 0.3
      if (Math.abs(door - 2.4) < 0.05 || Math.abs(h - 3.85) < 0.06) rho *= 0.5
    }
    const small = w - 14.6
    if (small > 0 && small < 0.95 && h < 2.1) rho *= 0.45
    if (h > 3.2 && h < 4.0 && w > 12 && w < 18.4) {
      const pane = (w - 12) / 0.8
      const f = pane - Math.floor(pane)
      if (f > 0.1 && f < 0.92) {
        const broken = chance(s.seed, Math.floor(pane), 3, 52) < 0.25
        const k = broken ? 0.01 : 0.07
        out.t = t
        out.r = s.middle[0] * k * 1.1
        out.g = s.middle[1] * k * 1.1
        out.b = s.middle[2] * k * 1.2
        return
      }
      rho *= 0.8
    }
    if (h > 4.72) rho *= 0.5
    const f = rho / Math.PI
    out.t = t
    out.r = e[0] * f * (1 + 0.5 * rust)
    out.g = e[1] * f * (1 - 0.12 * rust)
    out.b = e[2] * f * (1.02 - 0.4 * rust)
  }
  // Front slope of the roof, overhanging by 0.4 m.
  const zm = (z0 + z1) / 2
  const run = zm - (z0 - 0.4)
  const grade = (ridge - eaves + 0.15) / run
  const at = (eaves - 0.15 - o.oy - grade * (z0 - 0.4)) / (o.dy - grade)
  if (at > z0 - 0.4 && at < zm && at < out.t) {
    const x = o.ox + at * o.dx
    if (x > x0 - 0.3 && x < x1 + 0.3) {
      const q = (at - z0) / run
      let rho = 0.085 * (0.85 + 0.2 * Math.sin((x * 2 * Math.PI) / 0.24))
      rho *= 1 + 0.6 * fbm(x * 0.5, q * 3, 21 + s.seed, 5, 0.6)
      const sheet = chance(s.seed, Math.floor(x / 1.05), Math.floor(q * 2.2), 53)
      if (sheet < 0.07) rho *= 1.7
      const rust = step(0.05, 0.5, fbm(x * 0.9, q * 2.2, 27, 5))
      const f = (rho * 0.75) / Math.PI
      out.t = at
      out.r = (0.5 * e[0] + 0.5 * top[0]) * f * (1 + 0.55 * rust)
      out.g = (0.5 * e[1] + 0.5 * top[1]) * f
      out.b = (0.5 * e[2] + 0.5 * top[2]) * f * (1 - 0.3 * rust)
    }
  }
  // Flue and two vents.
  const pipe = slab(o, 16.2, 16.5, eaves, ridge + 1.3, z0 + 5, z0 + 5.3)
  if (pipe < out.t) dark(out, pipe, e, 0.02)
}

function dark(out: Met, t: number, e: Float64Array, k: number): void {
  out.t = t
  out.r = e[0] * k
  out.g = e[1] * k
  out.b = e[2] * k * 1.03
}

/** Stacked boxes to the right of the shed, a lamp mast, bollards along the quay's edge. */
export function traceYard(s: Setting, o: Lens, e: Float64Array, out: Met): void {
  for (let j = 0; j < 7; j++) {
    const z0 = 141 + 9 * (j % 3)
    const x0 = 24.6 + 3.3 * j + between(-0.5, 0.5, s.seed, j, 71)
    const high = j === 3 || j === 6 ? 1 : 2 + (bitsOf(s, j) % 2)
    const t = slab(o, x0, x0 + 2.45, 3, 3 + 2.6 * high, z0, z0 + 6.1)
    if (t < out.t) {
      const x = o.ox + t * o.dx - x0
      const h = o.oy + t * o.dy - 3
      const level = Math.floor(h / 2.6)
      const hue = chance(s.seed, j, level, 72)
      const rib = 0.85 + 0.3 * Math.sin(((face === 0 ? t : x) * 2 * Math.PI) / 0.28)
      const seam = h / 2.6 - level < 0.05 || h / 2.6 - level > 0.95 ? 0.5 : 1
      const rho = 0.12 * rib * seam * (0.8 + 0.5 * fbm(x * 2, h * 0.5, j, 4)) * (face === 0 ? 0.7 : 1)
      out.t = t
      out.r = (e[0] * rho * (hue < 0.4 ? 1.35 : 0.75)) / Math.PI
      out.g = (e[1] * rho * (hue < 0.4 ? 0.75 : 0.9)) / Math.PI
      out.b = (e[2] * rho * (hue < 0.4 ? 0.6 : hue < 0.7 ? 1.25 : 0.8)) / Math.PI
    }
  }
  mast(o, e, out, 22.4, 96, 14.5, 0.09)
  mast(o, e, out, -1.2, 205, 9, 0.07)
}

function bitsOf(s: Setting, j: number): number {
  return Math.floor(chance(s.seed, j, 5, 73) * 8)
}

function mast(o: Lens, e: Float64Array, out: Met, x: number, z: number, top: number, r: number): void {
  if (z >= out.t) return
  const px = o.ox + z * o.dx - x
  const py = o.oy + z * o.dy
  const taper = r * (1.25 - (0.5 * (py - 3)) / (top - 3))
  const arm = Math.abs(py - top) < r * 0.7 && px > -1.1 && px < 1.1
  const lamp = Math.abs(py - top + 0.05) < 0.13 && Math.abs(Math.abs(px) - 1.05) < 0.32
  if (py < 3 || py > top + r || (!arm && !lamp && Math.abs(px) > taper)) return
  dark(out, z, e, 0.022 + 0.012 * (px / r > 0 ? 1 : 0))
}

export const BEACON_Z = 700
export const HEADLAND_Z = 2300
export const BEACON_X = crestX(692)
/** Height of the beacon's foot over the sea, and its red band from there. */
const BEACON_FOOT = 3.4
const BAND = { low: 5.4, high: 8.6 }
/** The red band, metres over the sea, and its least half width. */
export const BEACON_BAND = {
  foot: BEACON_FOOT + BAND.low,
  top: BEACON_FOOT + BAND.high,
  half: 1.95 - 0.055 * BAND.high,
}

/** The beacon at the head of the breakwater: a tapered tower with a gallery and a lantern. */
export function traceBeacon(o: Lens, e: Float64Array, out: Met): void {
  const z = BEACON_Z
  if (z >= out.t) return
  const x = o.ox + z * o.dx - BEACON_X
  const y = o.oy + z * o.dy - BEACON_FOOT
  if (y < -2.6 || y > 16.6) return
  let half = 1.95 - 0.055 * y
  let rho = 0.5
  if (y < 0) {
    half = 4.2
    rho = 0.22
  } else if (y > 12.1 && y < 12.6) half = 2.1
  else if (y >= 12.6 && y < 13.4) {
    if (Math.abs((x * 3) % 1) > 0.25 && y < 13.25) return
    half = 2.05
    rho = 0.2
  } else if (y >= 13.4 && y < 15) {
    half = 1.0
    rho = 0.1
  } else if (y >= 15) {
    half = y < 15.9 ? 1.15 - (y - 15) * 1.1 : 0.07
    rho = 0.15
  }
  if (Math.abs(x) > half) return
  const band = y > BAND.low && y < BAND.high
  const round = 0.62 + 0.3 * Math.sqrt(Math.max(0, 1 - (x / half) ** 2)) - 0.16 * (x / half)
  const k = (rho * round) / Math.PI
  out.t = z
  out.r = e[0] * k * (band ? 0.62 : 1)
  out.g = e[1] * k * (band ? 0.2 : 1)
  out.b = e[2] * k * (band ? 0.17 : 1)
}

/** Town and headland as upright sheets: heights by azimuth. */
export function traceShore(s: Setting, o: Lens, e: Float64Array, out: Met): void {
  if (out.t > 1150 && o.dx > 0.1) {
    const z = 1150
    const x = o.ox + z * o.dx
    const y = o.oy + z * o.dy
    const lot = Math.floor(x / 13)
    const inside = x / 13 - lot
    const tall =
      5 +
      13 * chance(s.seed, lot, 81) ** 2.2 +
      (chance(s.seed, lot, 82) < 0.3 ? 5 * Math.max(0, 1 - Math.abs(inside - 0.5) * 2) : 0)
    const ramp = step(0.1, 0.15, o.dx)
    if (y < 1 + tall * ramp && y > 0) {
      const lamp = chance(s.seed, Math.floor(x / 3.1), Math.floor(y / 3), 83) < 0.05
      dark(out, z, e, 0.03 + 0.03 * chance(s.seed, lot, 84))
      if (lamp && Math.abs((x / 3.1) % 1) < 0.4) {
        out.r += 1.6
        out.g += 1.0
        out.b += 0.45
      }
      return
    }
  }
  if (out.t > HEADLAND_Z) {
    const z = HEADLAND_Z
    const x = o.ox + z * o.dx
    const y = o.oy + z * o.dy
    const body = step(-900, -330, x) * step(-20, -330, x)
    const hill =
      body * (46 + 34 * fbm(x * 0.0052 + 1.7, 2, s.seed, 4) + 13 * fbm(x * 0.021, 5, s.seed, 4)) +
      2.2 * body * noise(x * 0.16, 1, 4)
    if (y < hill && y > 0) dark(out, z, e, 0.02)
  }
}
