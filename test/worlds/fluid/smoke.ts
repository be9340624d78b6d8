/**
 * The smoke column: hot, dense, fed unevenly at its foot, leaning in a wind that grows with height.
 * Units: cells and records of 1/30 s; `size` is a power of two (512 for real use).
 */
import { between, chance, fbm, noise, step } from '../chance.js'
import { newRecording, type Recording, record } from './record.js'
import { Flow } from './solver.js'

export interface SmokeRun {
  readonly size: number
  readonly seed: number
  /** How far the column has leant at the top, as a share of the height. */
  readonly lean: number
  readonly records: number
  /** Records run before the first one kept. */
  readonly lead: number
}

interface Column {
  readonly n: number
  /** Cells for a cell of the 512 grid. */
  readonly s: number
  readonly cx: number
  readonly cy: number
  readonly rise: number
  readonly lean: number
  readonly seed: number
  readonly off: number
}

export function runSmoke(run: SmokeRun, onStep?: (done: number, total: number) => void): Recording {
  const n = run.size
  const s = n / 512
  const flow = new Flow(n, n)
  const soot = new Float32Array(n * n)
  const heat = new Float32Array(n * n)
  const out = newRecording(n, n, run.records, 30)
  const column: Column = {
    n,
    s,
    cx: 0.34 * n,
    cy: 0.95 * n,
    rise: 3.3 * s,
    lean: run.lean,
    seed: run.seed,
    off: chance(run.seed, 1) * 200,
  }
  meanFlow(flow, column)
  const total = run.lead + run.records
  const u = new Float32Array(n * n)
  const v = new Float32Array(n * n)
  for (let k = 0; k < total; k++) {
    feed(flow, soot, heat, column, k)
    flow.confine(0.05)
    flow.project()
    flow.margins(Math.round(26 * s), [soot, heat], Math.max(2, Math.round(8 * s)))
    if (k >= run.lead) {
      for (let i = 0; i < u.length; i++) {
        u[i] = flow.u[i] + flow.meanU[i]
        v[i] = flow.v[i] + flow.meanV[i]
      }
      record(out, k - run.lead, soot, u, v)
    }
    flow.trace()
    flow.carry(soot)
    flow.carry(heat)
    flow.carrySelf()
    onStep?.(k + 1, total)
  }
  return out
}

/** Centre and half width of the column at height `up` (0 foot, 1 top of the grid). */
function shape(c: Column, up: number): { middle: number; wide: number } {
  const q = Math.max(0, up)
  return { middle: c.cx + c.lean * c.n * q ** 1.35, wide: (30 + 125 * q ** 0.9) * c.s }
}

/** A cone that rises, leans and widens; everything rides on it. */
function meanFlow(flow: Flow, c: Column): void {
  const { n } = c
  for (let y = 0; y < n; y++) {
    const up = (c.cy - y) / n
    const here = shape(c, up)
    const next = shape(c, up + c.rise / n)
    for (let x = 0; x < n; x++) {
      const e = (x - here.middle) / here.wide
      const k = up > -0.03 ? Math.exp(-0.18 * e * e * e * e) : 0
      flow.meanU[y * n + x] =
        k * (next.middle - here.middle + (x - here.middle) * (next.wide / here.wide - 1))
      flow.meanV[y * n + x] = -c.rise * k * (0.75 + 0.25 * Math.exp(-2 * e * e))
    }
  }
}

function feed(flow: Flow, soot: Float32Array, heat: Float32Array, c: Column, k: number): void {
  const { n, s, off, seed } = c
  const time = k / 30
  const sway = 7 * s * noise(time * 0.9, off, 3.3)
  const pulse = 0.75 + 0.5 * noise(time * 1.7, off + 9, 1.2)
  const rx = 30 * s
  const ry = 14 * s
  for (let y = Math.floor(c.cy - 2 * ry); y < Math.min(n, c.cy + 2 * ry); y++) {
    for (let x = Math.floor(c.cx - 2 * rx); x < c.cx + 2 * rx; x++) {
      const dx = (x - c.cx - sway) / rx
      const dy = (y - c.cy) / ry
      const r = Math.sqrt(dx * dx + dy * dy)
      if (r > 1.6) continue
      const rough = fbm(x / (18 * s) + off, y / (18 * s) - time * 2.2, time * 1.3 + off, 4)
      const q = step(1.25, 0.3, r + 0.7 * rough) * pulse
      const i = y * n + x
      soot[i] += (1.5 * q - soot[i]) * (q > 0 ? 0.4 : 0)
      heat[i] += (q - heat[i]) * (q > 0 ? 0.4 : 0)
    }
  }
  // Eddies as large as the column is wide: what a flat column's shear makes too slowly.
  for (let j = 0; j < 6; j++) {
    const up = between(0, 0.85, seed, k, j, 1) ** 1.3
    const { middle, wide } = shape(c, up)
    const radius = wide * between(0.1, 0.4, seed, k, j, 2)
    const side = chance(seed, k, j, 4) < 0.5 ? -1 : 1
    // Rollers at the rim turn outwards and down, as a rising column's do.
    const at = middle + side * wide * between(0.25, 0.95, seed, k, j, 3)
    const turn = chance(seed, k, j, 5) < 0.72 ? side : -side
    flow.eddy(at, c.cy - up * n, radius, turn * s * between(0.12, 0.55, seed, k, j, 6))
  }
  const lift = 0.05 * s
  for (let i = 0; i < heat.length; i++) {
    flow.v[i] = flow.v[i] * 0.992 - lift * heat[i]
    flow.u[i] *= 0.992
    heat[i] *= 0.99
    soot[i] *= 0.9985
  }
}
