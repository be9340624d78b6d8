/**
 * The coarse part of grain: blotches many pixels wide, out of white noise on a grid of its own that a smooth kernel draws out.
 *
 *   n(x) = Σ w_k(t) · white(i + k) / √(Σ w_k²)      x = D (i + t)      k = −1 … 2      along both axes
 *
 *   D  pixels between the grid's lines, counted from the frame's origin     w  cubic B-spline
 *
 *   ρ(m) ≈ exp(−¾ m²/D²): about a half at D pixels
 *
 * Each place has unit variance, whatever its t. The correlation is that of two cubic splines over each other: a spline of the seventh
 * order, variance ⅔ D², taken as a normal one. Source: [unser1999] for the splines; the correlation by hand.
 */
import type { Mixing } from './factor.js'

/** One coarse part. */
export interface Coarse {
  /** D, whole pixels, 1 or more. */
  readonly size: number
  readonly mixing: Mixing
}

/** Keeps the coarse part's numbers apart from the fine part's. */
export const COARSE_SEED = 0x5bd1e995

/** Pixels a spline reaches over: grid lines before and after a place. */
export const BEFORE = 1
export const TAPS = 4

/** Grid line at or before a pixel. */
export function lineBefore(x: number, size: number): number {
  return Math.floor(x / size)
}

/** The four weights of a pixel. */
export function splineAt(x: number, size: number): Float32Array {
  const t = x / size - lineBefore(x, size)
  const w = [(1 - t) ** 3, 3 * t ** 3 - 6 * t * t + 4, -3 * t ** 3 + 3 * t * t + 3 * t + 1, t ** 3]
  const energy = Math.sqrt(w.reduce((sum, v) => sum + v * v, 0))
  return Float32Array.from(w, (v) => v / energy)
}
