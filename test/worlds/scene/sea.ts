/**
 * The sea: slopes of two periodic patches of a wind sea, moved by the deep-water law ω² = g·k, seen through Fresnel's
 * law; what a pixel cannot resolve becomes roughness.
 *
 * Spectrum P(k) = exp(−1/(kL)²)/k⁴ · spread [phillips1958], patches by inverse transform [tessendorf2001].
 */
import { bits, mix, noise, normal, step } from '../chance.js'
import { Fft2 } from '../fluid/fft.js'
import type { Setting } from '../setting.js'
import { airlight, type Sky } from './sky.js'

const N = 256
const LEVELS = 7

interface Patch {
  readonly side: number
  readonly re0: Float32Array
  readonly im0: Float32Array
  readonly omega: Float32Array
  /** Mean slopes and mean square slope per mip level. */
  readonly sx: Float32Array[]
  readonly sz: Float32Array[]
  readonly sq: Float32Array[]
}

export class Sea {
  private readonly fft = new Fft2(N, N)
  private readonly patches: Patch[]
  private readonly s: Setting
  private readonly sky: Sky

  constructor(s: Setting, sky: Sky) {
    this.s = s
    this.sky = sky
    this.patches = [this.patch(93, 1), this.patch(17.3, 2)]
  }

  private patch(side: number, which: number): Patch {
    const { s } = this
    const n = N * N
    const re0 = new Float32Array(n)
    const im0 = new Float32Array(n)
    const omega = new Float32Array(n)
    const L = (s.windMs * s.windMs) / 9.81
    const wx = Math.sin(s.windAzimuth)
    const wz = Math.cos(s.windAzimuth)
    const split = (2 * Math.PI) / 1.1
    for (let y = 0; y < N; y++) {
      for (let x = 0; x < N; x++) {
        const i = y * N + x
        const kx = ((x <= N / 2 ? x : x - N) * 2 * Math.PI) / side
        const kz = ((y <= N / 2 ? y : y - N) * 2 * Math.PI) / side
        const k = Math.hypot(kx, kz)
        if (k === 0) continue
        const cut = which === 1 ? step(split * 1.4, split * 0.7, k) : step(split * 0.7, split * 1.4, k)
        const along = (kx * wx + kz * wz) / k
        const spread = 0.08 + 0.92 * along * along * (along > 0 ? 1 : 0.35)
        const p =
          ((2 * Math.PI) / side) * Math.sqrt((0.0042 * Math.exp(-1 / (k * L) ** 2) * spread * cut) / k ** 4)
        re0[i] = normal(s.seed + which, x, y, 1) * p * Math.SQRT1_2
        im0[i] = normal(s.seed + which, x, y, 2) * p * Math.SQRT1_2
        omega[i] = Math.sqrt(9.81 * k)
      }
    }
    const pyramid = () => Array.from({ length: LEVELS }, (_, l) => new Float32Array((N >> l) ** 2))
    return { side, re0, im0, omega, sx: pyramid(), sz: pyramid(), sq: pyramid() }
  }

  /** Moves the sea to a moment. */
  at(seconds: number): void {
    for (const p of this.patches) {
      const re = p.sx[0]
      const im = p.sz[0]
      for (let y = 0; y < N; y++) {
        for (let x = 0; x < N; x++) {
          const i = y * N + x
          const j = ((N - y) % N) * N + ((N - x) % N)
          const c = Math.cos(p.omega[i] * seconds)
          const d = Math.sin(p.omega[i] * seconds)
          const hr = p.re0[i] * c + p.im0[i] * d + p.re0[j] * c + p.im0[j] * d
          const hi = p.im0[i] * c - p.re0[i] * d - (p.im0[j] * c - p.re0[j] * d)
          const kx = ((x <= N / 2 ? x : x - N) * 2 * Math.PI) / p.side
          const kz = ((y <= N / 2 ? y : y - N) * 2 * Math.PI) / p.side
          // i·kx·h is the slope along x, i·kz·h along z; packed as one complex field.
          re[i] = -kx * hi - kz * hr
          im[i] = kx * hr - kz * hi
        }
      }
      this.fft.run(re, im, 1)
      for (let i = 0; i < N * N; i++) p.sq[0][i] = re[i] * re[i] + im[i] * im[i]
      for (let l = 1; l < LEVELS; l++) {
        halve(p.sx[l - 1], p.sx[l], N >> l)
        halve(p.sz[l - 1], p.sz[l], N >> l)
        halve(p.sq[l - 1], p.sq[l], N >> l)
      }
    }
  }

  /**
   * Radiance of the sea at (x, z) seen along (dx, dy, 1); `footprint` metres on the water.
   * @param foam 0 to 1, how much white water lies there
   */
  shade(
    x: number,
    z: number,
    dx: number,
    dy: number,
    footprint: number,
    foam: number,
    k: number,
    out: Float64Array,
  ): void {
    let sx = 0
    let sz = 0
    let rest = 0
    for (const p of this.patches) {
      const cell = p.side / N
      const level = Math.min(LEVELS - 1, Math.max(0, Math.log2(footprint / cell)))
      const l = Math.round(level)
      const n = N >> l
      const u = (x / p.side) * n
      const v = (z / p.side) * n
      const a = tap(p.sx[l], u, v, n)
      const b = tap(p.sz[l], u, v, n)
      sx += a
      sz += b
      rest += Math.max(0, tap(p.sq[l], u, v, n) - a * a - b * b)
    }
    const sigma = Math.sqrt(0.5 * rest) + 0.02
    const gust = 0.75 + 0.45 * noise(x * 0.021 + 4, z * 0.011, 2.5)
    sx = sx * gust + sigma * bell[bits(this.s.seed, k, 3) & 15]
    sz = sz * gust + sigma * bell[bits(this.s.seed, k, 7) & 15]
    const m = 1 / Math.hypot(dx, dy, 1)
    const vx = dx * m
    const vy = dy * m
    const vz = m
    const q = 1 / Math.hypot(sx, 1, sz)
    const nx = -sx * q
    const ny = q
    const nz = -sz * q
    let facing = -(vx * nx + vy * ny + vz * nz)
    // A facet turned away is hidden by the next crest; what is seen there faces the eye.
    if (facing < 0.03) facing = 0.03 + 0.2 * (0.03 - facing)
    const rx = vx + 2 * facing * nx
    const ry = Math.abs(vy + 2 * facing * ny) + 0.004
    const rz = vz + 2 * facing * nz
    this.sky.look(rx, ry / Math.hypot(rx, ry, rz), rz, out)
    const fresnel = 0.02 + 0.98 * (1 - facing) ** 5
    const e = this.s.middle
    out[0] = mix(e[0] * 0.045, out[0], fresnel)
    out[1] = mix(e[1] * 0.075, out[1], fresnel)
    out[2] = mix(e[2] * 0.08, out[2], fresnel)
    if (foam > 0)
      for (let c = 0; c < 3; c++) out[c] = mix(out[c], 0.5 * e[c] + 0.22 * this.s.horizon[c], foam)
    airlight(this.s, dx, 1, airBuf)
    const t = Math.exp(-this.s.beta * z)
    for (let c = 0; c < 3; c++) out[c] = out[c] * t + airBuf[c] * (1 - t)
  }
}

const airBuf = new Float64Array(3)
/** Sixteen equal shares of a normal distribution. */
const bell = [-1.93, -1.32, -1, -0.77, -0.58, -0.4, -0.24, -0.08, 0.08, 0.24, 0.4, 0.58, 0.77, 1, 1.32, 1.93]

function halve(a: Float32Array, out: Float32Array, n: number): void {
  const w = 2 * n
  for (let y = 0; y < n; y++) {
    for (let x = 0; x < n; x++) {
      const i = 2 * y * w + 2 * x
      out[y * n + x] = 0.25 * (a[i] + a[i + 1] + a[i + w] + a[i + w + 1])
    }
  }
}

function tap(a: Float32Array, u: number, v: number, n: number): number {
  const x0 = Math.floor(u)
  const y0 = Math.floor(v)
  const fx = u - x0
  const fy = v - y0
  const c0 = x0 & (n - 1)
  const c1 = (x0 + 1) & (n - 1)
  const r0 = (y0 & (n - 1)) * n
  const r1 = ((y0 + 1) & (n - 1)) * n
  const p = a[r0 + c0] + fx * (a[r0 + c1] - a[r0 + c0])
  const q = a[r1 + c0] + fx * (a[r1 + c1] - a[r1 + c0])
  return p + fy * (q - p)
}
