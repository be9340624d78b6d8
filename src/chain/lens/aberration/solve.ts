/**
 * One colour's factor from many shifts along many edges.
 *
 *   s = (k − 1) · (r · n) + t · n + β
 *
 *   r  edge's place from the picture's middle   px     k  how much larger the colour is drawn than green
 *   n  its normal, towards the bright side      –      t  shift of the whole colour (a lens off the middle, chroma told at other sites)  px
 *   s  shift along n                            px     β  shift of all edges towards their bright side (blur and curve unlike)           px
 *
 * Weighted least squares with Tukey's biweight, t held near 0 by a prior of 0.5 px and β by one of 0.3 px (choices). The spread is that
 * of the solutions with each of sixteen sectors of the picture left out: edges of one object err together.
 *
 * Source: [huber2009] for the robust fit, [efron1982] for leaving out.
 */
import { CholeskyDecomposition, Matrix } from 'ml-matrix'
import { median } from '../../../core/index.js'
import type { Shift } from './shift.js'

export interface Solution {
  /** k − 1 */
  readonly larger: number
  readonly x: number
  readonly y: number
  /** Of `larger`, one standard deviation. */
  readonly spread: number
  /** Edges that count, by weight. */
  readonly edges: number
}

const SECTORS = 16
const TUKEY = 4.685
const ROUNDS = 12
const SHIFT_PRIOR = 0.5
const BETA_PRIOR = 0.3
/** Below this, px, no two edges of a real lens agree. */
const LEAST_SCATTER = 0.01

/** `places` of one colour over a picture of this size. */
export function solve(places: readonly Shift[], width: number, height: number): Solution | undefined {
  const rows = places.map((p) => {
    const [x, y] = [p.atX - width / 2, p.atY - height / 2]
    const sector = Math.floor(((Math.atan2(y, x) / Math.PI + 1) / 2) * SECTORS) % SECTORS
    return { a: [x * p.nx + y * p.ny, p.nx, p.ny, 1], b: p.along, variance: p.variance, sector, weight: 1 }
  })
  let found: Float64Array = new Float64Array(4)
  for (let round = 0; round < ROUNDS; round++) {
    const left = rows.map((r) => r.b - dot(r.a, found))
    const scatter = Math.max(1.4826 * median(left.map(Math.abs)), LEAST_SCATTER)
    rows.forEach((r, i) => {
      const sigma = Math.hypot(scatter, Math.sqrt(r.variance))
      const u = left[i]! / (TUKEY * sigma)
      r.weight = Math.abs(u) >= 1 && round > 0 ? 0 : (1 - (round > 0 ? u * u : 0)) ** 2 / (sigma * sigma)
    })
    const next = normal(rows)
    if (next === undefined) return undefined
    found = next
  }
  return { larger: found[0]!, x: found[1]!, y: found[2]!, ...certainty(rows, found[0]!) }
}

type Row = { a: number[]; b: number; variance: number; sector: number; weight: number }

function certainty(rows: readonly Row[], whole: number): { spread: number; edges: number } {
  const heaviest = rows.reduce((most, r) => Math.max(most, r.weight), 0)
  const edges = rows.reduce((sum, r) => sum + r.weight, 0) / heaviest
  const without: number[] = []
  for (let s = 0; s < SECTORS; s++) {
    const rest = rows.filter((r) => r.sector !== s)
    if (rest.length === rows.length) continue
    without.push(normal(rest)?.[0] ?? whole)
  }
  const g = without.length
  const mean = without.reduce((sum, v) => sum + v, 0) / g
  const spread = Math.sqrt(((g - 1) / g) * without.reduce((sum, v) => sum + (v - mean) ** 2, 0))
  return { spread, edges }
}

function normal(rows: readonly Row[]): Float64Array | undefined {
  const m = Matrix.zeros(4, 4)
  const v = Matrix.zeros(4, 1)
  for (const { a, b, weight } of rows) {
    for (let i = 0; i < 4; i++) {
      v.set(i, 0, v.get(i, 0) + weight * a[i]! * b)
      for (let j = 0; j < 4; j++) m.set(i, j, m.get(i, j) + weight * (a[i]! * a[j]!))
    }
  }
  const prior = [0, SHIFT_PRIOR ** -2, SHIFT_PRIOR ** -2, BETA_PRIOR ** -2]
  for (let i = 0; i < 4; i++) m.set(i, i, m.get(i, i) + prior[i]!)
  const factor = new CholeskyDecomposition(m)
  return factor.isPositiveDefinite() ? Float64Array.from(factor.solve(v).to1DArray()) : undefined
}

function dot(a: readonly number[], b: Float64Array): number {
  return a[0]! * b[0]! + a[1]! * b[1]! + a[2]! * b[2]! + a[3]! * b[3]!
}
