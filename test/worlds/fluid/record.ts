/**
 * A recorded flow: one quantity and the velocity that carries it, 30 times a second, and any moment in between.
 * A moment between two records is the earlier one carried on by its own velocity; never a blend of two pictures.
 */
import { sample } from './solver.js'

const Q = 16000
const V = 512

export interface Recording {
  readonly w: number
  readonly h: number
  readonly count: number
  /** Records a second. */
  readonly rate: number
  readonly q: Uint16Array
  readonly u: Int16Array
  readonly v: Int16Array
}

/** An empty recording in memory that threads can share. */
export function newRecording(w: number, h: number, count: number, rate: number): Recording {
  const n = w * h * count * 2
  const make = () => new SharedArrayBuffer(n)
  return {
    w,
    h,
    count,
    rate,
    q: new Uint16Array(make()),
    u: new Int16Array(make()),
    v: new Int16Array(make()),
  }
}

export function record(r: Recording, at: number, q: Float32Array, u: Float32Array, v: Float32Array): void {
  const n = r.w * r.h
  const o = at * n
  for (let i = 0; i < n; i++) {
    r.q[o + i] = Math.min(65535, Math.max(0, q[i] * Q + 0.5))
    r.u[o + i] = Math.min(32767, Math.max(-32767, u[i] * V))
    r.v[o + i] = Math.min(32767, Math.max(-32767, v[i] * V))
  }
}

/** The quantity at `seconds` (0 is the first record), written into `out`. */
export function moment(r: Recording, seconds: number, out: Float32Array): void {
  const { w, h } = r
  const t = Math.max(0, Math.min(r.count - 1, seconds * r.rate))
  const k = Math.min(r.count - 1, Math.floor(t + 1e-9))
  const f = t - k
  const n = w * h
  const o = k * n
  const q = new Float32Array(n)
  for (let i = 0; i < n; i++) q[i] = r.q[o + i] / Q
  if (f < 1e-6) {
    out.set(q)
    return
  }
  const s = f / V
  for (let y = 0, i = 0; y < h; y++) {
    for (let x = 0; x < w; x++, i++) out[i] = sample(q, x - s * r.u[o + i], y - s * r.v[o + i], w, h)
  }
}
