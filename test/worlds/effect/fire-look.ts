/**
 * From the recorded heat to light: soot glows by its temperature, thin at the edges, and two leaves of flame add up.
 * Result: linear light in which the flame's body has luminance 1.
 */
import { moment, type Recording } from '../fluid/record.js'
import { planckRgb } from './planck.js'

/** Part of the 256 × 512 grid that the card shows, and the row on which the drum's rim lies. */
export const FIRE_CARD = { x: 8, y: 40, w: 240, h: 464, rim: 491 }

export interface FirePicture {
  readonly w: number
  readonly h: number
  readonly rgb: Float32Array
}

const LEAF = 0.6

/** @param kelvin temperature of the flame's body; its edges are cooler */
export function firePicture(r: Recording, seconds: number, kelvin: number): FirePicture {
  const f = r.w / 256
  const w = Math.round(FIRE_CARD.w * f)
  const h = Math.round(FIRE_CARD.h * f)
  const x0 = Math.round(FIRE_CARD.x * f)
  const y0 = Math.round(FIRE_CARD.y * f)
  const a = new Float32Array(r.w * r.h)
  const b = new Float32Array(r.w * r.h)
  moment(r, seconds + LEAF, a)
  moment(r, seconds, b)
  const ramp = makeRamp(kelvin)
  const rgb = new Float32Array(w * h * 3)
  for (let y = 0, i = 0; y < h; y++) {
    // Nothing of the flame shows below the rim.
    const rim = Math.min(1, Math.max(0, (FIRE_CARD.rim * f - (y + y0)) / (3 * f)))
    for (let x = 0; x < w; x++, i++) {
      const gx = x + x0
      const gy = y + y0
      const mirror = Math.min(r.w - 1, Math.max(0, Math.round(0.96 * r.w) - gx))
      add(rgb, 3 * i, ramp, a[gy * r.w + gx], 0.62 * rim)
      add(rgb, 3 * i, ramp, b[gy * r.w + mirror], 0.5 * rim)
    }
  }
  return { w, h, rgb }
}

function makeRamp(kelvin: number): Float32Array {
  const ramp = new Float32Array(257 * 3)
  for (let k = 0; k <= 256; k++) {
    const q = (k / 256) * 1.4
    // The body, by its light, burns at `kelvin`; its thin edges 12 % cooler, its core 15 % hotter.
    const t = kelvin * (0.875 + 0.268 * Math.min(1, q))
    const [r, g, b] = planckRgb(t)
    // Optical depth of soot × the steep rise of visible light with temperature.
    const thin = 1 - Math.exp(-2.6 * q * q)
    const glow = Math.exp(-14250 * (1 / (1750 * (t / kelvin)) - 1 / 1750))
    const l = q < 0.04 ? 0 : thin * glow * 1.2
    ramp.set([r * l, g * l, b * l], 3 * k)
  }
  return ramp
}

function add(rgb: Float32Array, at: number, ramp: Float32Array, q: number, share: number): void {
  const p = Math.min(255.999, Math.max(0, (q / 1.4) * 256))
  const k = Math.floor(p)
  const f = p - k
  for (let c = 0; c < 3; c++) {
    const u = ramp[3 * k + c]
    rgb[at + c] += share * (u + f * (ramp[3 * k + 3 + c] - u))
  }
}
