/** Surfaces that are written down, and points on them with errors and with strangers among them. */
import { CholeskyDecomposition, Matrix } from 'ml-matrix'
import { describe, expect, it } from 'vitest'
import { uniform } from '../../../../core/index.js'
import type { Place } from '../matrix.js'
import { bentAt, folds } from '../mesh.js'
import type { SeenPoint } from '../seen.js'
import { Band } from './band.js'
import { solveSurface } from './solve.js'

const REGION: readonly Place[] = [
  [20, 30],
  [220, 30],
  [220, 170],
  [20, 170],
]

function normal(a: number, b: number, c: number): number {
  let sum = -6
  for (let k = 0; k < 12; k++) sum += uniform(3, a, b, c, k)
  return sum
}

interface Scene {
  readonly carried: (x: number, y: number, frame: number) => Place
  readonly frames?: number
  /** Whether point i is hidden, and whether it goes elsewhere. */
  readonly hidden?: (frame: number, p: Place) => boolean
  readonly stray?: (frame: number, p: Place) => boolean
}

const SPREAD = 0.05

function pointsOf({ carried, frames = 6, hidden, stray }: Scene): SeenPoint[] {
  return Array.from({ length: 220 }, (_, i) => {
    const from: Place = [22 + 196 * uniform(1, 0, i, 0, 0), 32 + 136 * uniform(1, 0, i, 1, 0)]
    const seen: [number, number, number, number][] = []
    for (let f = 0; f < frames; f++) {
      if (hidden?.(f, from) === true) continue
      const [x, y] = stray?.(f, from) === true ? [from[0] + 9, from[1] - 6] : carried(...from, f)
      seen.push([f, x + SPREAD * normal(i, f, 0), y + SPREAD * normal(i, f, 1), SPREAD])
    }
    return { from, seen }
  })
}

const solve = (scene: Scene, more: object = {}) =>
  solveSurface(
    { reference: 0, frames: { first: 0, count: scene.frames ?? 6 }, points: pointsOf(scene), ...more },
    REGION,
  )

/** Root mean square over places within the region on a frame, px. */
function off(solved: ReturnType<typeof solveSurface>, scene: Scene, frame: number): number {
  const { matrix, nodes } = solved.frames[frame]!
  let [sum, n] = [0, 0]
  for (let y = 35; y < 170; y += 9) {
    for (let x = 25; x < 220; x += 9) {
      const [u, v] = bentAt({ matrix, mesh: solved.mesh, nodes }, x, y)
      const [p, q] = scene.carried(x, y, frame)
      sum += (u - p) ** 2 + (v - q) ** 2
      n++
    }
  }
  return Math.sqrt(sum / n)
}

const plane: Scene = { carried: (x, y, f) => [x + 2 * f + 0.01 * f * y, y - f + 0.005 * f * x] }
const wave: Scene = {
  carried: (x, y, f) => [x + 3 * f + 0.8 * f * Math.sin(x / 25 + y / 40), y + 0.5 * f * Math.cos(y / 30)],
}

it('solves banded equations as a general solver does', () => {
  const [n, width] = [23, 4]
  const band = new Band(n, width)
  const full = Matrix.zeros(n, n)
  for (let i = 0; i < n; i++) {
    for (let j = Math.max(0, i - width); j <= i; j++) {
      const v = i === j ? 10 + i : uniform(7, 0, i, j, 0) - 0.5
      band.add(i, j, v)
      full.set(i, j, v)
      full.set(j, i, v)
    }
  }
  const right = Float64Array.from({ length: n }, (_, i) => Math.sin(i))
  const truth = new CholeskyDecomposition(full).solve(Matrix.columnVector([...right])).to1DArray()
  expect(band.factor()).toBe(true)
  band.solve(right)
  truth.forEach((v, i) => {
    expect(right[i]).toBeCloseTo(v, 12)
  })
})

describe('a surface over a shot', () => {
  it('stays a plane where it is one', () => {
    const solved = solve(plane)
    for (const f of solved.frames) expect(Math.max(...f.nodes.map(Math.abs))).toBeLessThan(0.1)
    expect(off(solved, plane, 5)).toBeLessThan(0.05)
    expect(solved.why).toContain('no bend brings them nearer')
  })
  it('bends where it bends, and says about how far it is off', () => {
    const solved = solve(wave)
    for (const frame of [1, 3, 5]) {
      const true_ = off(solved, wave, frame)
      expect(true_).toBeLessThan(0.12)
      const { spreadPx } = solved.frames[frame]!
      // Both axes together are √2 times one.
      expect(spreadPx).toBeGreaterThan(true_ / Math.SQRT2 / 3)
      expect(spreadPx).toBeLessThan((3 * true_) / Math.SQRT2)
    }
  })
  it('goes by the most where something else passes', () => {
    const scene: Scene = { ...wave, stray: (_, [x, y]) => x > 150 && x < 190 && y > 60 }
    const solved = solve(scene)
    const { matrix, nodes } = solved.frames[4]!
    const [u, v] = bentAt({ matrix, mesh: solved.mesh, nodes }, 80, 100)
    const [p, q] = wave.carried(80, 100, 4)
    expect(Math.hypot(u - p, v - q)).toBeLessThan(0.2)
  })
  it('is carried over frames on which it is hidden, and is lost beyond', () => {
    const scene: Scene = { ...wave, frames: 30, hidden: (f) => (f > 11 && f < 15) || f > 26 }
    const { frames } = solve(scene)
    expect(frames.map((f) => f.state).slice(11, 16)).toEqual([
      'tracked',
      'bridged',
      'bridged',
      'bridged',
      'tracked',
    ])
    expect(frames.slice(27).every((f) => f.state === 'lost')).toBe(true)
  })
  it('goes through a place that is set by hand, and near it alone', () => {
    const from: Place = [60, 60]
    const [x, y] = wave.carried(...from, 3)
    const solved = solve(wave, { corrections: [{ frame: 3, from, to: [x + 2, y - 1] }] })
    const f = solved.frames[3]!
    const motion = { matrix: f.matrix, mesh: solved.mesh, nodes: f.nodes }
    const [u, v] = bentAt(motion, ...from)
    expect(f.state).toBe('corrected')
    expect(Math.hypot(u - x - 2, v - y + 1)).toBeLessThan(0.01)
    const [p, q] = bentAt(motion, 205, 155)
    const [s, t] = wave.carried(205, 155, 3)
    expect(Math.hypot(p - s, q - t)).toBeLessThan(0.3)
  })
  it('does not hand out a mesh that folds over itself', () => {
    const scene: Scene = {
      carried: (x, y, f) => [f < 3 ? x : x + 40 * Math.sin(x / 9), y],
    }
    const { frames, mesh } = solve(scene)
    for (const { matrix, nodes } of frames) expect(folds({ matrix, mesh, nodes })).toBe(false)
  })
})
