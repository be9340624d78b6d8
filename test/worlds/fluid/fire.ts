/**
 * The flame over a drum: heat fed unevenly at the rim, lifted by itself, lost by radiation (∝ T⁴) and by mixing.
 * Two solver steps a record. Units: cells; `size` × 2·`size`, powers of two (256 × 512 for real use).
 */
import { between, chance, fbm, noise, step } from '../chance.js'
import { newRecording, type Recording, record } from './record.js'
import { Flow } from './solver.js'

export interface FireRun {
  readonly size: number
  readonly seed: number
  readonly records: number
  readonly lead: number
}

interface Flame {
  readonly w: number
  readonly h: number
  /** Cells for a cell of the 256 grid. */
  readonly s: number
  readonly cx: number
  readonly cy: number
  readonly seed: number
  readonly off: number
}

export function runFire(run: FireRun, onStep?: (done: number, total: number) => void): Recording {
  const w = run.size
  const h = 2 * run.size
  const s = w / 256
  const flow = new Flow(w, h)
  const heat = new Float32Array(w * h)
  const out = newRecording(w, h, run.records, 30)
  const flame: Flame = {
    w,
    h,
    s,
    cx: 0.48 * w,
    cy: 0.95 * h,
    seed: run.seed,
    off: chance(run.seed, 2) * 200,
  }
  const total = (run.lead + run.records) * 2
  const u = new Float32Array(w * h)
  const v = new Float32Array(w * h)
  for (let k = 0; k < total; k++) {
    meanFlow(flow, flame, k / 60)
    feed(flow, heat, flame, k)
    flow.confine(0.06)
    flow.project()
    flow.margins(Math.round(16 * s), [heat], Math.max(2, Math.round(10 * s)))
    if (k % 2 === 0 && k / 2 >= run.lead) {
      for (let i = 0; i < u.length; i++) {
        u[i] = 2 * (flow.u[i] + flow.meanU[i])
        v[i] = 2 * (flow.v[i] + flow.meanV[i])
      }
      record(out, k / 2 - run.lead, heat, u, v)
    }
    flow.trace()
    flow.carry(heat)
    flow.carrySelf()
    onStep?.(k + 1, total)
  }
  return out
}

/** Draught of the whole fire: faster with height, swaying, drawing in at the foot. */
function meanFlow(flow: Flow, f: Flame, time: number): void {
  const { w, h, s } = f
  for (let y = 0; y < h; y++) {
    const up = (f.cy - y) / h
    const q = Math.min(1, Math.max(0, up))
    const speed = up > -0.02 ? (2.2 + 4.2 * Math.sqrt(q)) * s : 0
    const middle = f.cx + 22 * s * noise(q * 2.4 - time * 1.3, f.off, 7.7) * Math.min(1, 3 * q)
    for (let x = 0; x < w; x++) {
      const e = (x - middle) / (62 * s)
      const k = Math.exp(-e * e)
      flow.meanV[y * w + x] = -speed * k
      flow.meanU[y * w + x] = (-0.5 * e * s * k * Math.exp(-5 * q)) as number
    }
  }
}

function feed(flow: Flow, heat: Float32Array, f: Flame, k: number): void {
  const { w, h, s, cx, cy, off, seed } = f
  const time = k / 60
  const rx = 44 * s
  const ry = 10 * s
  for (let y = Math.floor(cy - 2.2 * ry); y < Math.min(h, cy + 2.2 * ry); y++) {
    for (let x = Math.floor(cx - 1.6 * rx); x < cx + 1.6 * rx; x++) {
      const dx = (x - cx) / rx
      const dy = (y - cy) / ry
      const r = Math.sqrt(dx * dx + dy * dy)
      if (r > 1.6) continue
      const rough = fbm(x / (30 * s) + off, y / (60 * s) - time * 1.4, time * 1.6 + off, 3)
      const q = step(1.35, 0.2, r + 0.9 * rough)
      const i = y * w + x
      heat[i] += (1.3 * q - heat[i]) * (q > 0.02 ? 0.16 : 0)
    }
  }
  for (let j = 0; j < 3; j++) {
    const up = between(0, 0.7, seed, k, j, 11)
    const side = chance(seed, k, j, 14) < 0.5 ? -1 : 1
    const at = cx + side * s * between(6, 52, seed, k, j, 13)
    const turn = chance(seed, k, j, 15) < 0.75 ? side : -side
    const radius = s * between(7, 24, seed, k, j, 12)
    flow.eddy(at, cy - up * h, radius, turn * s * between(0.3, 1.5, seed, k, j, 16))
  }
  const lift = 0.035 * s
  for (let i = 0; i < heat.length; i++) {
    const q = heat[i]
    flow.v[i] = flow.v[i] * 0.985 - lift * q
    flow.u[i] *= 0.985
    const lost = q - 0.007 - 0.013 * q * q * q * q
    heat[i] = Math.max(lost, 0)
  }
}
