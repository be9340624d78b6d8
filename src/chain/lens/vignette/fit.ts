/** Least squares of a vignette over cells of a flat frame: see `measure.ts`. Linear algebra: ml-matrix. */
import { Matrix, solve } from 'ml-matrix'
import { median } from '../../../core/index.js'
import { falloff, type Vignette } from './model.js'

/** Eighths of the picture that are left out in turn. */
export const SECTORS = 8
const TERMS = 6
const ROUNDS = 8
const TUKEY = 4.685
/** Of the light in the middle: what the model leaves of a real lens. */
const LEAST_SCATTER = 0.01

export interface Cell {
  /** −1 to 1 across and down the picture. */
  readonly x: number
  readonly y: number
  /** Means of r², r⁴ and r⁶. */
  readonly powers: readonly number[]
  readonly light: number
  readonly sector: number
}

export interface Fit {
  readonly solution: readonly number[]
  readonly weights: readonly number[]
  /** Of the cells' light, one standard deviation. */
  readonly scatter: number
}

export function robustFit(cells: readonly Cell[]): Fit | undefined {
  let weights = cells.map(() => 1)
  let solution: readonly number[] = [1, 0, 0, 0, 0, 0]
  let scatter = 0
  for (let round = 0; round < ROUNDS; round++) {
    const known = termsOf(solution)
    solution = weighted(cells, weights, known)
    if (!((solution[0] as number) > 0)) return undefined
    const found = solution
    const off = cells.map(
      (c) => c.light - modelled(c, known).reduce((sum, t, i) => sum + t * (found[i] as number), 0),
    )
    scatter = 1.4826 * median(off.map(Math.abs))
    const cut = TUKEY * Math.max(scatter, LEAST_SCATTER * (found[0] as number))
    weights = off.map((v) => Math.max(1 - (v / cut) ** 2, 0) ** 2)
    if (weights.filter((w) => w > 0).length < cells.length / 2) return undefined
  }
  return { solution, weights, scatter }
}

function modelled({ x, y, powers }: Cell, known: Vignette): number[] {
  const [p1 = 0, p2 = 0, p3 = 0] = powers
  const f = 1 + known[0] * p1 + known[1] * p2 + known[2] * p3
  return [1, x * f, y * f, p1, p2, p3]
}

function weighted(cells: readonly Cell[], weights: readonly number[], known: Vignette): number[] {
  const left = Matrix.zeros(TERMS, TERMS)
  const right = Matrix.zeros(TERMS, 1)
  cells.forEach((cell, k) => {
    const w = weights[k] as number
    const terms = modelled(cell, known)
    for (const [i, a] of terms.entries()) {
      right.set(i, 0, right.get(i, 0) + w * a * cell.light)
      for (const [j, b] of terms.entries()) left.set(i, j, left.get(i, j) + w * (a * b))
    }
  })
  return solve(left, right, true).to1DArray()
}

export function termsOf(solution: readonly number[]): Vignette {
  const [s = 1, , , a = 0, b = 0, c = 0] = solution
  return [a / s, b / s, c / s]
}

/** Of the light at the corner; the model's own error is a tenth of the cells'. */
export function spreadOf(cells: readonly Cell[], { weights, scatter, solution }: Fit): number {
  const value = termsOf(solution)
  const whole = falloff(value, 1)
  const corners = Array.from({ length: SECTORS }, (_, s) => {
    const rest = weights.map((w, i) => ((cells[i] as Cell).sector === s ? 0 : w))
    return falloff(termsOf(weighted(cells, rest, value)), 1)
  })
  const sum = corners.reduce((total, v) => total + (v - whole) ** 2, 0)
  return Math.hypot(Math.sqrt(((SECTORS - 1) / SECTORS) * sum), scatter / (solution[0] as number) / 10)
}
