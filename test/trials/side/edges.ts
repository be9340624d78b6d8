/**
 * Edges of a plane: width from 10 to 90 %, and how far it swings beyond both sides. An edge is a run of rows (or columns) through which
 * a straight line goes; all its samples by their distance from the line make one profile [iso12233].
 */
import type { Plane } from './planes.js'

export interface Edge {
  readonly x: number
  readonly y: number
  readonly down: boolean
}

export interface Profile {
  readonly width: number
  /** Share of the step beyond the brighter and below the darker side. */
  readonly over: number
  readonly under: number
}

const HALF = 7
const ROWS = 5
const STEP = 0.25

/** Places of the strongest slopes that lie apart, at least `least` codes from side to side and straight. */
export function edgesOf(p: Plane, least: number): Edge[] {
  const found: Edge[] = []
  for (const down of [false, true]) {
    const [w, h] = down ? [p.height, p.width] : [p.width, p.height]
    for (let y = ROWS; y < h - ROWS; y += 2 * ROWS) {
      for (let x = HALF + 3; x < w - HALF - 3; x++) {
        const slope = (i: number) => Math.abs(look(p, down, i + 1, y) - look(p, down, i - 1, y))
        let peak = true
        for (let i = x - HALF; i <= x + HALF && peak; i++) peak = i < 1 || i >= w - 1 || slope(i) <= slope(x)
        if (!peak || slope(x) < least / 4) continue
        const one = { x, y, down }
        if (profileOf(p, one, least) !== undefined) found.push(one)
      }
    }
  }
  return found
}

function look({ width, data }: Plane, down: boolean, x: number, y: number): number {
  return data[down ? x * width + y : y * width + x]!
}

/** Undefined where it is no straight edge between even sides. */
export function profileOf(p: Plane, { x, y, down }: Edge, least: number): Profile | undefined {
  const middles: number[] = []
  for (let j = -ROWS; j <= ROWS; j++) {
    let [sum, at] = [0, 0]
    for (let i = -HALF; i < HALF; i++) {
      const g =
        Math.abs(look(p, down, x + i + 1, y + j) - look(p, down, x + i, y + j)) * Math.exp(-((i / 4) ** 2))
      sum += g
      at += g * (i + 0.5)
    }
    middles.push(at / Math.max(sum, 1e-9))
  }
  const mean = middles.reduce((s, v) => s + v, 0) / middles.length
  const tilt =
    middles.reduce((s, v, k) => s + (k - ROWS) * (v - mean), 0) /
    middles.reduce((s, _, k) => s + (k - ROWS) ** 2, 0)
  if (middles.some((v, k) => Math.abs(v - mean - tilt * (k - ROWS)) > 0.6)) return undefined
  const bins = Array.from({ length: (2 * HALF) / STEP - 3 }, () => ({ sum: 0, n: 0 }))
  for (let j = -ROWS; j <= ROWS; j++) {
    for (let i = -HALF; i <= HALF; i++) {
      const k = Math.round((i - mean - tilt * j + HALF) / STEP) - 2
      const bin = bins[k]
      if (bin !== undefined) [bin.sum, bin.n] = [bin.sum + look(p, down, x + i, y + j), bin.n + 1]
    }
  }
  const raw = filled(bins)
  if (raw === undefined) return undefined
  const rising = raw.at(-1)! > raw[0]! ? raw : raw.toReversed()
  const side = Math.round(2.5 / STEP)
  const even = (v: readonly number[]) => [
    Math.min(...v),
    Math.max(...v),
    v.reduce((s, a) => s + a, 0) / v.length,
  ]
  const [l0, l1, low] = even(rising.slice(0, side)) as [number, number, number]
  const [h0, h1, high] = even(rising.slice(-side)) as [number, number, number]
  const step = high - low
  if (step < least || l1 - l0 > 0.12 * step || h1 - h0 > 0.12 * step) return undefined
  const n = rising.map((v) => (v - low) / step)
  const middle = n.findIndex((v) => v > 0.5)
  const [a, b] = [crossing(n, middle, 0.1, -1), crossing(n, middle, 0.9, 1)]
  if (a === undefined || b === undefined) return undefined
  return { width: STEP * (b - a), over: Math.max(...n) - 1, under: -Math.min(...n) }
}

function filled(bins: readonly { sum: number; n: number }[]): number[] | undefined {
  const known = bins.map((b) => (b.n === 0 ? Number.NaN : b.sum / b.n))
  if (known.filter(Number.isNaN).length > known.length / 2) return undefined
  return known.map((v, i) => {
    if (!Number.isNaN(v)) return v
    const before = known.slice(0, i).findLastIndex((k) => !Number.isNaN(k))
    const after = known.findIndex((k, j) => j > i && !Number.isNaN(k))
    if (before < 0) return known[after]!
    if (after < 0) return known[before]!
    return known[before]! + ((known[after]! - known[before]!) * (i - before)) / (after - before)
  })
}

function crossing(n: readonly number[], from: number, level: number, way: 1 | -1): number | undefined {
  for (let i = from; i >= 0 && i < n.length; i += way) {
    if (way < 0 ? n[i]! <= level : n[i]! >= level) {
      const [p, q] = [n[i]!, n[i - way]!]
      return p === q ? i : i - (way * (level - p)) / (q - p)
    }
  }
  return undefined
}
