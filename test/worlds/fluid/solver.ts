/**
 * A two-dimensional incompressible flow on a periodic grid, with margins that put everything out.
 *
 *   ∂u/∂t + (u·∇)u = −∇p + f,   ∇·u = 0,   ∂q/∂t + (u·∇)q = source
 *
 * Advection by MacCormack's two-way step, limited to the neighbours' range [selle2008]; projection exact in Fourier space
 * [stam1999]; small eddies kept up by vorticity confinement [fedkiw2001]. Lengths in cells, time in steps, row 0 on top.
 */
import { Fft2 } from './fft.js'

export class Flow {
  readonly w: number
  readonly h: number
  u: Float32Array
  v: Float32Array
  /** Uniform in x: the wind at each row, in cells a step. */
  readonly wind: Float32Array
  /** Mean flow that carries but is not solved for (the widening of a round column has no flat counterpart). */
  readonly meanU: Float32Array
  readonly meanV: Float32Array
  private readonly fft: Fft2
  private readonly a: Float32Array
  private readonly b: Float32Array
  private readonly c: Float32Array
  private readonly px: Float32Array
  private readonly py: Float32Array

  constructor(w: number, h: number) {
    this.w = w
    this.h = h
    const n = w * h
    this.u = new Float32Array(n)
    this.v = new Float32Array(n)
    this.wind = new Float32Array(h)
    this.meanU = new Float32Array(n)
    this.meanV = new Float32Array(n)
    this.fft = new Fft2(w, h)
    this.a = new Float32Array(n)
    this.b = new Float32Array(n)
    this.c = new Float32Array(n)
    this.px = new Float32Array(n)
    this.py = new Float32Array(n)
  }

  /** Where each cell's content comes from, one step back (second order). */
  trace(): void {
    const { w, h, u, v, px, py, meanU, meanV } = this
    for (let y = 0, i = 0; y < h; y++) {
      for (let x = 0; x < w; x++, i++) {
        const mx = x - 0.5 * (u[i] + meanU[i])
        const my = y - 0.5 * (v[i] + meanV[i])
        px[i] = x - sample(u, mx, my, w, h) - meanU[i]
        py[i] = y - sample(v, mx, my, w, h) - meanV[i]
      }
    }
  }

  /** Adds a round eddy: a Gaussian stream function of `radius` cells, edge speed about `speed`. */
  eddy(cx: number, cy: number, radius: number, speed: number): void {
    const { w, h, u, v } = this
    const x0 = Math.max(0, Math.floor(cx - 3 * radius))
    const x1 = Math.min(w - 1, Math.ceil(cx + 3 * radius))
    const y0 = Math.max(0, Math.floor(cy - 3 * radius))
    const y1 = Math.min(h - 1, Math.ceil(cy + 3 * radius))
    for (let y = y0; y <= y1; y++) {
      for (let x = x0; x <= x1; x++) {
        const dx = (x - cx) / radius
        const dy = (y - cy) / radius
        const g = speed * Math.exp(-0.5 * (dx * dx + dy * dy)) * 1.65
        u[y * w + x] -= g * dy
        v[y * w + x] += g * dx
      }
    }
  }

  /** Carries a field with the flow; call `trace` first. */
  carry(q: Float32Array): void {
    const { w, h, u, v, px, py, a, b, meanU, meanV } = this
    const mx = w - 1
    const my = h - 1
    for (let i = 0; i < q.length; i++) a[i] = sample(q, px[i], py[i], w, h)
    for (let y = 0, i = 0; y < h; y++) {
      for (let x = 0; x < w; x++, i++) {
        const back = sample(a, x + u[i] + meanU[i], y + v[i] + meanV[i], w, h)
        const value = a[i] + 0.5 * (q[i] - back)
        const x0 = Math.floor(px[i])
        const y0 = Math.floor(py[i])
        const r0 = (y0 & my) * w
        const r1 = ((y0 + 1) & my) * w
        const c0 = x0 & mx
        const c1 = (x0 + 1) & mx
        const p = q[r0 + c0]
        const s = q[r0 + c1]
        const t = q[r1 + c0]
        const e = q[r1 + c1]
        const lo = Math.min(p, s, t, e)
        const hi = Math.max(p, s, t, e)
        b[i] = value < lo ? lo : Math.min(value, hi)
      }
    }
    q.set(b)
  }

  /** Carries the velocity with itself. */
  carrySelf(): void {
    this.c.set(this.u)
    const keep = this.c
    const v = this.v.slice()
    // Both components must ride on the old velocity.
    const u0 = this.u
    this.carry(keep)
    this.carry(v)
    u0.set(keep)
    this.v.set(v)
  }

  /** Adds what the grid's own diffusion took from small eddies. */
  confine(strength: number): void {
    const { w, h, u, v, a } = this
    for (let y = 0, i = 0; y < h; y++) {
      const up = ((y - 1) & (h - 1)) * w
      const dn = ((y + 1) & (h - 1)) * w
      for (let x = 0; x < w; x++, i++) {
        const l = y * w + ((x - 1) & (w - 1))
        const r = y * w + ((x + 1) & (w - 1))
        a[i] = 0.5 * (v[r] - v[l] - (u[dn + x] - u[up + x]))
      }
    }
    for (let y = 1; y < h - 1; y++) {
      for (let x = 1; x < w - 1; x++) {
        const i = y * w + x
        const gx = Math.abs(a[i + 1]) - Math.abs(a[i - 1])
        const gy = Math.abs(a[i + w]) - Math.abs(a[i - w])
        const m = strength / (Math.sqrt(gx * gx + gy * gy) + 1e-5)
        u[i] += m * gy * a[i]
        v[i] -= m * gx * a[i]
      }
    }
  }

  /** Takes the compressible part out of the velocity. */
  project(): void {
    const { w, h, a, b, u, v } = this
    a.set(u)
    b.set(v)
    this.fft.run(a, b, -1)
    // a + ib holds both real transforms; split them by symmetry, project, put back.
    const scale = 1 / (w * h)
    for (let y = 0; y <= h / 2; y++) {
      const yn = (h - y) & (h - 1)
      for (let x = 0; x < w; x++) {
        const xn = (w - x) & (w - 1)
        if (y === yn && x > xn) continue
        const i = y * w + x
        const j = yn * w + xn
        const ur = 0.5 * (a[i] + a[j])
        const ui = 0.5 * (b[i] - b[j])
        const vr = 0.5 * (b[i] + b[j])
        const vi = 0.5 * (a[j] - a[i])
        const kx = x <= w / 2 ? x / w : (x - w) / w
        const ky = y <= h / 2 ? y / h : (y - h) / h
        const k2 = kx * kx + ky * ky
        let qr = 0
        let qi = 0
        if (k2 > 0) {
          qr = (kx * ur + ky * vr) / k2
          qi = (kx * ui + ky * vi) / k2
        }
        // The finest waves ring; they go out within a few steps.
        const soft = k2 / 0.13
        const keep = scale / (1 + soft * soft * soft * soft)
        const pr = (ur - kx * qr) * keep
        const pi = (ui - kx * qi) * keep
        const sr = (vr - ky * qr) * keep
        const si = (vi - ky * qi) * keep
        a[i] = pr - si
        b[i] = pi + sr
        a[j] = pr + si
        b[j] = -pi + sr
      }
    }
    this.fft.run(a, b, 1)
    u.set(a)
    v.set(b)
  }

  /** Margins: velocity goes to the wind, carried fields to nothing, over `edge` cells. */
  margins(edge: number, fields: readonly Float32Array[], bottom = edge): void {
    const { w, h, u, v, wind } = this
    for (let y = 0; y < h; y++) {
      const ey = Math.min(1, Math.min((y + 1) / edge, (h - y) / bottom))
      for (let x = 0; x < w; x++) {
        const e = Math.min(ey, (x + 1) / edge, (w - x) / edge)
        if (e >= 1) continue
        const i = y * w + x
        const k = 1 - 0.25 * (1 - e)
        u[i] = wind[y] + (u[i] - wind[y]) * k
        v[i] *= k
        for (const q of fields) q[i] *= 1 - 0.5 * (1 - e) * (1 - e)
      }
    }
  }
}

/** Bilinear, periodic; w and h powers of two. */
export function sample(q: Float32Array, x: number, y: number, w: number, h: number): number {
  const x0 = Math.floor(x)
  const y0 = Math.floor(y)
  const fx = x - x0
  const fy = y - y0
  const c0 = x0 & (w - 1)
  const c1 = (x0 + 1) & (w - 1)
  const r0 = (y0 & (h - 1)) * w
  const r1 = ((y0 + 1) & (h - 1)) * w
  const p = q[r0 + c0]
  const s = q[r1 + c0]
  const top = p + fx * (q[r0 + c1] - p)
  const low = s + fx * (q[r1 + c1] - s)
  return top + fy * (low - top)
}
