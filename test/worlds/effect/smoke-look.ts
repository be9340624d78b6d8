/**
 * From the recorded flow to a picture of smoke: optical depth, and the colour of the light it scatters.
 *
 * Depth is two leaves of the same column (a later moment behind an earlier one), so that it looks round. Colour is
 * albedo × (light from above, from one side and from the front, each dimmed by the smoke on its way) with the billows'
 * own relief. The same smoke stands in the plate's light and in the file's light.
 */
import { moment, type Recording } from '../fluid/record.js'
import { sample } from '../fluid/solver.js'

/** Part of the grid that the card shows, in cells of the 512 grid. */
export const CARD = { x: 32, y: 4, w: 448, h: 504 }

export interface SmokeLight {
  readonly above: readonly number[]
  readonly side: readonly number[]
  readonly front: readonly number[]
  /** −1: the side light comes from the left; 1: from the right. */
  readonly from: number
}

export interface SmokePicture {
  readonly w: number
  readonly h: number
  /** Optical depth. */
  readonly tau: Float32Array
  /** Scattered colour where there is smoke, not premultiplied, RGB; extends a little beyond it. */
  readonly colour: Float32Array
}

/** Seconds between the two leaves. */
export const LEAF = 1.45

export function smokePicture(r: Recording, seconds: number, depth: number, albedo: readonly number[], light: SmokeLight): SmokePicture {
  const n = r.w
  const f = n / 512
  const a = new Float32Array(n * n)
  const b = new Float32Array(n * n)
  moment(r, seconds + LEAF, a)
  moment(r, seconds, b)
  const w = Math.round(CARD.w * f)
  const h = Math.round(CARD.h * f)
  const x0 = Math.round(CARD.x * f)
  const y0 = Math.round(CARD.y * f)
  const tau = new Float32Array(w * h)
  for (let y = 0, i = 0; y < h; y++) {
    for (let x = 0; x < w; x++, i++) {
      const gx = x + x0
      const gy = y + y0
      // The second leaf is a little broader, so that no edge shows twice.
      const bx = 0.34 * n + (gx - 0.34 * n) * 0.93
      const q = a[gy * n + gx] * 0.62 + sample(b, bx, gy * 0.985 + 0.014 * n, n, n) * 0.55
      const edge = Math.min(1, x / (14 * f), (w - 1 - x) / (14 * f))
      tau[i] = depth * q * edge
    }
  }
  return { w, h, tau, colour: shade(tau, w, h, f, albedo, light) }
}

function shade(tau: Float32Array, w: number, h: number, f: number, albedo: readonly number[], light: SmokeLight): Float32Array {
  const soft = blur(tau, w, h, Math.max(1, Math.round(2.2 * f)))
  const mass = blur(tau, w, h, Math.max(1, Math.round(9 * f)))
  const down = new Float32Array(w * h)
  const side = new Float32Array(w * h)
  const thick = 0.02 / f
  for (let x = 0; x < w; x++) {
    let sum = 0
    for (let y = 0; y < h; y++) {
      sum = sum * 0.985 + mass[y * w + x]
      down[y * w + x] = Math.exp(-thick * sum)
    }
  }
  for (let y = 0; y < h; y++) {
    let sum = 0
    for (let j = 0; j < w; j++) {
      const x = light.from < 0 ? j : w - 1 - j
      sum = sum * 0.985 + mass[y * w + x]
      side[y * w + x] = Math.exp(-1.2 * thick * sum)
    }
  }
  const d = blur(down, w, h, Math.max(1, Math.round(4 * f)))
  const e = blur(side, w, h, Math.max(1, Math.round(4 * f)))
  const colour = new Float32Array(w * h * 3)
  for (let y = 0; y < h; y++) {
    const up = Math.max(0, y - 1) * w
    const dn = Math.min(h - 1, y + 1) * w
    for (let x = 0; x < w; x++) {
      const i = y * w + x
      const l = y * w + Math.max(0, x - 1)
      const r = y * w + Math.min(w - 1, x + 1)
      const k = 9 * f
      const gx = k * (0.6 * (soft[r] - soft[l]) + 1.1 * (mass[r] - mass[l])) / (0.35 + mass[i])
      const gy = k * (0.6 * (soft[dn + x] - soft[up + x]) + 1.1 * (mass[dn + x] - mass[up + x])) / (0.35 + mass[i])
      const q = 1 / Math.sqrt(1 + gx * gx + gy * gy)
      const above = (0.42 + 0.58 * Math.max(0, 0.35 + gy * q)) * d[i]
      const aside = (0.3 + 0.7 * Math.max(0, 0.3 - light.from * gx * q)) * e[i]
      const front = 0.45 + 0.55 * q
      // Hollows between billows see less of everything.
      const hollow = 1 / (1 + Math.max(0, soft[i] - mass[i]) * 0.25)
      for (let c = 0; c < 3; c++) {
        const v = light.above[c] * above + light.side[c] * aside + light.front[c] * front
        colour[3 * i + c] = albedo[c] * v * hollow
      }
    }
  }
  return colour
}

/** Three box blurs of the given radius: near enough to a bell. */
export function blur(a: Float32Array, w: number, h: number, radius: number): Float32Array {
  let p = a.slice()
  let q = new Float32Array(a.length)
  for (let pass = 0; pass < 2; pass++) {
    box(p, q, w, h, radius, 1, w)
    box(q, p, h, w, radius, w, 1)
  }
  q = p
  p = q
  return p
}

function box(a: Float32Array, out: Float32Array, n: number, lines: number, r: number, stepX: number, stepY: number): void {
  const inv = 1 / (2 * r + 1)
  for (let l = 0; l < lines; l++) {
    const o = l * stepY
    let sum = a[o] * (r + 1)
    for (let k = 0; k < r; k++) sum += a[o + Math.min(n - 1, k) * stepX]
    for (let x = 0; x < n; x++) {
      sum += a[o + Math.min(n - 1, x + r) * stepX]
      out[o + x * stepX] = sum * inv
      sum -= a[o + Math.max(0, x - r) * stepX]
    }
  }
}
