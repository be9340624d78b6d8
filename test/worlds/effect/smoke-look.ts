/**
 * From the recorded flow to a picture of smoke: optical depth, and the colour of the light it scatters.
 *
 * Depth is two leaves of the same column (a later moment behind an earlier one), so that it looks round. Colour is
 * albedo × (light from above, from one side and from the front, each dimmed by the smoke on its way) with the billows'
 * own relief. The same smoke stands in the plate's light and in the file's light.
 */
import { noise } from '../chance.js'
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

export function smokePicture(
  r: Recording,
  seconds: number,
  depth: number,
  albedo: readonly number[],
  light: SmokeLight,
): SmokePicture {
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
      tau[i] = a[gy * n + gx] * 0.7 + sample(b, bx, gy * 0.985 + 0.014 * n, n, n) * 0.6
    }
  }
  // Half the mass is as the flow left it, half has mixed with its neighbourhood: a flat flow leaves sheets, a round
  // one leaves balls.
  const mixed = blur(tau, w, h, Math.max(1, Math.round(6 * f)))
  const puffs = billows(w, h, f, seconds)
  const half = (w >> 1) + 1
  for (let y = 0, i = 0; y < h; y++) {
    for (let x = 0; x < w; x++, i++) {
      const q = 0.25 * tau[i] + 0.75 * mixed[i]
      const u = x / 2
      const v = y / 2
      const k = (v | 0) * half + (u | 0)
      const fu = u - (u | 0)
      const fv = v - (v | 0)
      const top = puffs[k] + fu * (puffs[k + 1] - puffs[k])
      const low = puffs[k + half] + fu * (puffs[k + half + 1] - puffs[k + half])
      const puff = top + fv * (low - top)
      const body = q * (0.45 + 1.5 * puff)
      const solid = Math.max(0, body - 0.07)
      const edge = Math.min(1, x / (14 * f), (w - 1 - x) / (14 * f))
      tau[i] = depth * solid * edge
    }
  }
  return { w, h, tau, colour: shade(tau, w, h, f, albedo, light) }
}

/**
 * Round lumps that ride up with the column and turn over slowly, at half the card's resolution: folded gradient noise
 * in the column's own frame (width and travel), about 0 to 1.
 */
function billows(w: number, h: number, f: number, seconds: number): Float32Array {
  const bw = (w >> 1) + 1
  const bh = (h >> 1) + 2
  const out = new Float32Array(bw * bh)
  const rise = (3.3 * 30) / 512
  for (let y = 0, i = 0; y < bh; y++) {
    const up = Math.max(0, 0.95 - ((2 * y) / f + CARD.y) / 512)
    const wide = 30 + 125 * up ** 0.9
    // Travel measured in widths, so that lumps grow as the column does.
    const along = (1 / 0.23) * Math.log(wide / 30) * 1.05 - (seconds * rise) / 0.19
    for (let x = 0; x < bw; x++, i++) {
      const across = ((2 * x) / f + CARD.x - 0.34 * 512 - 60 * up ** 1.35) / wide
      let sum = 0
      let amp = 0.55
      let q = 1.5
      for (let k = 0; k < 5; k++) {
        sum +=
          amp *
          Math.abs(
            noise(across * q + 3.1 * k, along * 0.62 * q + 1.7 * k, seconds * 0.5 * (1 + 0.6 * k) + 5 * k),
          )
        amp *= 0.55
        q *= 2.07
      }
      out[i] = Math.min(1, 1.55 * sum)
    }
  }
  return out
}

function shade(
  tau: Float32Array,
  w: number,
  h: number,
  f: number,
  albedo: readonly number[],
  light: SmokeLight,
): Float32Array {
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
      const gx = (k * (0.6 * (soft[r] - soft[l]) + 1.1 * (mass[r] - mass[l]))) / (0.35 + mass[i])
      const gy =
        (k * (0.6 * (soft[dn + x] - soft[up + x]) + 1.1 * (mass[dn + x] - mass[up + x]))) / (0.35 + mass[i])
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
function blur(a: Float32Array, w: number, h: number, radius: number): Float32Array {
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

function box(
  a: Float32Array,
  out: Float32Array,
  n: number,
  lines: number,
  r: number,
  stepX: number,
  stepY: number,
): void {
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
