/**
 * Rates changed by blending, whose pictures the file does not hold: frame k is (1 − w)·s + w·s′ of two successive pictures, and w goes
 * on by the same amount every frame. A mixture is softer than what it is made of, in its noise and in what moves:
 *
 *   fine² ∝ 1 − 2 κ w (1 − w)       w = frac((k·q + φ) / p)       κ = 1 less the correlation of both in their finest detail
 *
 * Looked for over all periods p and steps q < p/2, by regression on the squares of `fine` against their mean over a period.
 * Periods of 2 and 3 are left out: codecs that predict some frames from both sides make those by themselves. A still that was panned by
 * interpolation goes soft in the same pattern, but less: its grain stays (κ under 0.4 where real mixtures of grainy pictures have 0.8 to
 * 1.1). Follows from the variance
 * of a sum of two; limits are a choice.
 */
import type { Step } from './motion.js'

const [SHORTEST, LONGEST] = [4, 25]
/** Share of the variance that the pattern explains, and least κ, to be one. */
const EXPLAINED = 0.85
const SOFTER = 0.6
/** Periods that a run of frames must hold. */
const PERIODS = 2.4

export interface Conversion {
  readonly period: number
  readonly explained: number
  readonly softer: number
  /** Frames that are mixtures of two pictures in clear shares of both. */
  readonly mixed: readonly number[]
}

export function conversionOf(steps: readonly Step[]): Conversion | undefined {
  const runs: Step[][] = []
  for (const s of steps) {
    if (s.one === undefined || runs.length === 0) runs.push([])
    runs.at(-1)?.push(s)
  }
  const longest = Math.max(0, ...runs.map((r) => r.length))
  const whole = runs.filter((r) => r.length > 0.8 * longest)
  let best: Conversion | undefined
  for (let p = SHORTEST; p <= LONGEST && PERIODS * p <= longest; p++) {
    const relative = whole.map((r) => relativeTo(r, p))
    for (let q = 1; 2 * q < p; q++) {
      if (divisor(p, q) !== 1) continue
      const found = whole.map((r, i) => fitted(r, relative[i] as number[], p, q))
      const weakest = found.reduce((a, b) => (b.explained < a.explained ? b : a))
      if (weakest.explained < EXPLAINED || found.some((f) => f.softer < SOFTER)) continue
      if (best === undefined || weakest.explained > best.explained + 0.02)
        best = { ...weakest, period: p, mixed: found.flatMap((f) => f.mixed) }
    }
  }
  return best
}

/** Squares of `fine` over their mean in the period about each frame. */
function relativeTo(run: readonly Step[], period: number): number[] {
  const squares = run.map((s) => s.fine * s.fine)
  return squares.map((v, i) => {
    const from = Math.min(Math.max(i - Math.floor(period / 2), 0), run.length - period)
    let sum = 0
    for (let k = from; k < from + period; k++) sum += squares[k] as number
    return sum === 0 ? 1 : (v * period) / sum
  })
}

/** Best phase of one pattern over a run; phases in half steps. */
function fitted(
  run: readonly Step[],
  y: readonly number[],
  p: number,
  q: number,
): Omit<Conversion, 'period'> {
  let best = { explained: 0, softer: 0, phase: 0 }
  for (let phase = 0; phase < p; phase += 0.5) {
    const r = regression(y, (k) => bend(k, p, q, phase))
    if (r.softer > 0 && r.explained > best.explained) best = { ...r, phase }
  }
  const mixed = run.flatMap((s, k) => (bend(k, p, q, best.phase) > 0.2 ? [s.frame] : []))
  return { explained: best.explained, softer: best.softer, mixed }
}

function bend(k: number, p: number, q: number, phase: number): number {
  const w = ((k * q + phase) / p) % 1
  return 2 * w * (1 - w)
}

/** y = c·(1 − κ x): κ, and the share of the variance of y that it explains. */
function regression(y: readonly number[], x: (k: number) => number): { explained: number; softer: number } {
  const n = y.length
  let [sx, sy, sxx, sxy, syy] = [0, 0, 0, 0, 0]
  for (let k = 0; k < n; k++) {
    const [u, v] = [x(k), y[k] as number]
    sx += u
    sy += v
    sxx += u * u
    sxy += u * v
    syy += v * v
  }
  const [xx, xy, yy] = [sxx - (sx * sx) / n, sxy - (sx * sy) / n, syy - (sy * sy) / n]
  if (xx <= 0 || yy <= 0) return { explained: 0, softer: 0 }
  const slope = xy / xx
  const c = (sy - slope * sx) / n
  return { explained: (xy * xy) / (xx * yy), softer: c > 0 ? -slope / c : 0 }
}

function divisor(a: number, b: number): number {
  return b === 0 ? a : divisor(b, a % b)
}
