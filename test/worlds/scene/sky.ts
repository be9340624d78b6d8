/**
 * The sky at dusk: a gradient, the glow of a sun behind thin cloud, two decks of cloud seen in perspective, all going
 * into the haze's own colour at the horizon. Static: in a second and a half nothing up there moves a pixel.
 */
import { fbm, mix, noise, step } from '../chance.js'
import type { Setting } from '../setting.js'

/** Colour of infinitely thick air towards an azimuth: what the horizon has, and what haze adds. */
export function airlight(s: Setting, dx: number, dz: number, out: Float64Array): void {
  const a = Math.atan2(dx, dz) - s.sunAzimuth
  const near = Math.exp(-(a * a) / 0.035)
  const wide = Math.exp(-(a * a) / 0.5)
  const back = 0.5 + 0.5 * Math.exp(-(a * a) / 2.4)
  for (let c = 0; c < 3; c++) out[c] = back * s.horizon[c] + s.glow[c] * (0.24 * near + 0.14 * wide)
}

const air = new Float64Array(3)

/** Radiance of the sky towards a direction (unit length, dy ≥ 0). */
function skyRadiance(s: Setting, dx: number, dy: number, dz: number, out: Float64Array): void {
  const up = Math.max(0, dy)
  airlight(s, dx, dz, air)
  const low = Math.exp(-up / 0.055)
  const high = step(0.02, 0.75, up)
  const sx = Math.sin(s.sunAzimuth) * Math.cos(s.sunElevation)
  const sy = Math.sin(s.sunElevation)
  const sz = Math.cos(s.sunAzimuth) * Math.cos(s.sunElevation)
  const cosine = Math.min(1, dx * sx + dy * sy + dz * sz)
  const angle = Math.acos(Math.max(-1, cosine))
  // Bands of thin cloud smear the sun out sideways.
  const da = Math.atan2(dx, dz) - s.sunAzimuth
  const de = Math.asin(Math.min(1, up)) - s.sunElevation
  const veil = 0.72 + 0.5 * fbm(da * 9 + 3, de * 95 + 1.7, 4.4, 4)
  const disc = Math.exp(-(da * da) / 0.0028 - (de * de) / 0.00055) * Math.max(0, veil)
  const halo = Math.exp(-angle / 0.11)
  const wide = Math.exp(-angle / 0.42)

  let d1 = 0
  let lit1 = 0
  let d2 = 0
  let lit2 = 0
  if (up > 0.004) {
    const k = 1 / (up + 0.02)
    const fade = step(0.012, 0.06, up)
    // High deck: streaks drawn out across the wind.
    const hx = dx * k * 1.5
    const hz = dz * k * 1.5
    const warp = noise(hx * 0.3, hz * 0.3, 9.1) * 1.4
    const h = fbm(hx * 0.32 + warp, hz * 0.16 + 0.4 * warp, s.seed * 1.37, 6, 0.56)
    d2 = step(-0.12, 0.62, h + 1.2 * s.cover) * fade
    lit2 = step(0.5, -0.25, h)
    // Low deck: broken bands of stratocumulus.
    const lx = dx * k
    const lz = dz * k
    const bend = fbm(lx * 0.21, lz * 0.21, s.seed * 0.77 + 5, 3)
    const px = lx * 0.34 + 1.3 * bend
    const pz = lz * 0.52 + 1.1 * bend
    const q = fbm(px, pz, s.seed * 2.11, 7, 0.54)
    d1 = step(0.02, 0.44, q + s.cover) * fade
    const towards = fbm(px + 0.16 * sx, pz + 0.2 * sz, s.seed * 2.11, 4, 0.54)
    lit1 = step(-0.18, 0.26, q - towards + 0.1) * (0.35 + 0.65 * step(0.9, 0.15, d1))
  }
  for (let c = 0; c < 3; c++) {
    const clear = mix(s.middle[c], s.zenith[c], high)
    let v = clear + s.glow[c] * (0.55 * halo + 0.3 * wide)
    const hi = 0.95 * s.middle[c] + s.glow[c] * (0.1 + 0.9 * wide) * (0.35 + 0.75 * lit2)
    v = mix(v, hi, 0.62 * d2)
    const shade = s.middle[c] * 0.5 + s.zenith[c] * 0.18 + s.glow[c] * 0.1 * wide
    const bright = s.glow[c] * (0.85 * wide + 0.9 * halo + 0.1) + s.middle[c] * 0.62
    v = mix(v, mix(shade, bright, 0.85 * lit1), 0.86 * d1)
    v = mix(v, air[c], low)
    out[c] = v + s.glow[c] * (1.5 * disc + 0.12 * halo) * (1 - 0.55 * d1)
  }
}

/** Sky in tables: a fine one of what the camera sees, a coarse one of the whole dome, and irradiance by normal. */
export class Sky {
  readonly dome: Float32Array
  readonly domeW = 384
  readonly domeH = 160
  private readonly irr = new Float64Array(27)

  constructor(s: Setting) {
    const { domeW, domeH } = this
    this.dome = new Float32Array(domeW * domeH * 3)
    const out = new Float64Array(3)
    for (let y = 0; y < domeH; y++) {
      const e = elevation((y + 0.5) / domeH)
      for (let x = 0; x < domeW; x++) {
        const a = ((x + 0.5) / domeW) * 2 * Math.PI - Math.PI
        const n = (y * domeW + x) * 3
        skyRadiance(s, Math.sin(a) * Math.cos(e), Math.sin(e), Math.cos(a) * Math.cos(e), out)
        this.dome[n] = out[0]
        this.dome[n + 1] = out[1]
        this.dome[n + 2] = out[2]
        // Second-order harmonics of the dome, and a dim ground below it [ramamoorthi2001].
        const e0 = elevation(y / domeH)
        const e1 = elevation((y + 1) / domeH)
        const solid = (Math.sin(e1) - Math.sin(e0)) * ((2 * Math.PI) / domeW)
        this.gather(Math.sin(a) * Math.cos(e), Math.sin(e), Math.cos(a) * Math.cos(e), out, solid)
        out[0] *= 0.14
        out[1] *= 0.14
        out[2] *= 0.14
        this.gather(Math.sin(a) * Math.cos(e), -Math.sin(e), Math.cos(a) * Math.cos(e), out, solid)
      }
    }
  }

  /** Radiance itself, not from a table. */
  exact(s: Setting, dx: number, dy: number, dz: number, out: Float64Array): void {
    skyRadiance(s, dx, dy, dz, out)
  }

  private gather(x: number, y: number, z: number, v: Float64Array, solid: number): void {
    const b = basis(x, y, z)
    for (let i = 0; i < 9; i++) for (let c = 0; c < 3; c++) this.irr[i * 3 + c] += b[i] * v[c] * solid
  }

  /** Irradiance on a surface of normal (x, y, z). */
  irradiance(x: number, y: number, z: number, out: Float64Array): void {
    const b = basis(x, y, z)
    for (let c = 0; c < 3; c++) {
      let sum = 0
      for (let i = 0; i < 9; i++) sum += lobe[i] * b[i] * this.irr[i * 3 + c]
      out[c] = Math.max(0.002, sum)
    }
  }

  /** Radiance from the dome table, for reflections; dy is taken as positive. */
  look(dx: number, dy: number, dz: number, out: Float64Array): void {
    const { dome, domeW, domeH } = this
    const e = Math.asin(Math.min(1, Math.abs(dy)))
    const fy = Math.min(domeH - 1.001, Math.max(0, Math.sqrt(e / (Math.PI / 2)) * domeH - 0.5))
    const fx = ((Math.atan2(dx, dz) + Math.PI) / (2 * Math.PI)) * domeW - 0.5
    const x0 = Math.floor(fx)
    const y0 = Math.floor(fy)
    const u = fx - x0
    const v = fy - y0
    const a = (x0 + domeW) % domeW
    const b = (a + 1) % domeW
    for (let c = 0; c < 3; c++) {
      const p = dome[(y0 * domeW + a) * 3 + c]
      const q = dome[(y0 * domeW + b) * 3 + c]
      const r = dome[((y0 + 1) * domeW + a) * 3 + c]
      const t = dome[((y0 + 1) * domeW + b) * 3 + c]
      const top = p + u * (q - p)
      out[c] = top + v * (r + u * (t - r) - top)
    }
  }
}

/** Rows crowd towards the horizon, where the sky changes fastest. */
function elevation(t: number): number {
  return t * t * (Math.PI / 2)
}

const lobe = [Math.PI, 2.0944, 2.0944, 2.0944, 0.7854, 0.7854, 0.7854, 0.7854, 0.7854]
const b9 = new Float64Array(9)
function basis(x: number, y: number, z: number): Float64Array {
  b9[0] = 0.282095
  b9[1] = 0.488603 * y
  b9[2] = 0.488603 * z
  b9[3] = 0.488603 * x
  b9[4] = 1.092548 * x * y
  b9[5] = 1.092548 * y * z
  b9[6] = 0.315392 * (3 * z * z - 1)
  b9[7] = 1.092548 * x * z
  b9[8] = 0.546274 * (x * x - y * y)
  return b9
}
