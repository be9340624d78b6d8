/** Motions that most of some pairs of places agree with. Seeded: the same pairs give the same motion. */
import type { Library, Mat } from './library.js'
import { HALF, type Place, placesMat, type Vision } from './vision.js'

/** Row-major 3 × 3, its last number 1: from places to places, edges at whole numbers. */
export type Matrix = readonly [
  ...[number, number, number],
  ...[number, number, number],
  ...[number, number, number],
]

export interface Agreed {
  readonly matrix: Matrix
  /** Which pairs agree. */
  readonly agree: readonly boolean[]
}

const ITERATIONS = 1000
const CONFIDENCE = 0.995
/** Steps of Levenberg–Marquardt over those that agree. */
const REFINEMENTS = 10

/**
 * Eight numbers: the picture of a plane. @param threshold px that a pair may be off. @returns nothing for fewer than four pairs or
 * where none fits. Source: [fischler1981], [barath2020].
 */
export function homographyOf(
  vision: Vision,
  from: readonly Place[],
  to: readonly Place[],
  threshold: number,
): Agreed | undefined {
  if (from.length < 4) return undefined
  return agreed(vision, from, to, (cv, a, b, mask) =>
    cv.findHomography(a, b, cv.USAC_MAGSAC, threshold, mask, ITERATIONS, CONFIDENCE),
  )
}

/** Six numbers: shift, turn, size and shear. At least three pairs. Source: [fischler1981]. */
export function affineOf(
  vision: Vision,
  from: readonly Place[],
  to: readonly Place[],
  threshold: number,
): Agreed | undefined {
  if (from.length < 3) return undefined
  return agreed(vision, from, to, (cv, a, b, mask) =>
    cv.estimateAffine2D(a, b, mask, cv.RANSAC, threshold, ITERATIONS, CONFIDENCE, REFINEMENTS),
  )
}

function agreed(
  vision: Vision,
  from: readonly Place[],
  to: readonly Place[],
  best: (cv: Library, a: Mat, b: Mat, mask: Mat) => Mat,
): Agreed | undefined {
  return vision.use((cv, keep) => {
    const mask = keep(new cv.Mat())
    const made = keep(best(cv, placesMat(cv, keep, from), placesMat(cv, keep, to), mask))
    if (made.empty()) return undefined
    const rows = [...made.data64F, ...(made.rows === 2 ? [0, 0, 1] : [])]
    const matrix = shifted(rows)
    if (!matrix.every(Number.isFinite)) return undefined
    return { matrix, agree: Array.from(mask.data, (v) => v === 1) }
  })
}

/** From centres at whole numbers to edges at whole numbers: shift · m · shift⁻¹, its last number 1. */
export function shifted(m: readonly number[]): Matrix {
  const [a = 0, b = 0, c = 0, d = 0, e = 0, f = 0, g = 0, h = 0, i = 0] = m
  const moved = (p: number, q: number, r: number) => [p, q, r - HALF * (p + q)] as const
  const w = moved(g, h, i)
  const out = [moved(a, b, c), moved(d, e, f)].flatMap((row) =>
    row.map((v, k) => v + HALF * (w[k] as number)),
  )
  return [...out, ...w].map((v) => v / w[2]) as unknown as Matrix
}
