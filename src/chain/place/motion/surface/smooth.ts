/**
 * How smooth a surface is, from points that its fit has not used: a fifth of the surface is left out in turn, in squares, and the
 * smoothness is taken under which the points there lie nearest to where the others carry them. Squares and not single points:
 * neighbours look at the same pixels of the reference frame and are off alike. The median counts, so that what passes before
 * the surface does not choose. Source: [golub1979] (choosing by what is left out), [hastie2009 §7.10] (in fifths).
 *
 * From the same points its spread on a frame:
 *
 *   spread² = max( out² − own², (out² − in²) / 2 )        along an axis, px²
 *
 *   out  how far a point that was left out lies off        own  the points' own spread
 *   in   how far a point lies off that was not             (out² ≈ own² + surface², in² ≈ own² − surface²)
 */
import { hash, median } from '../../../../core/index.js'
import type { Pairs } from '../fit/pairs.js'
import { at, type Matrix3, type Place } from '../matrix.js'
import type { Mesh } from '../mesh.js'
import { fitSurface, leastNodes, offsetAt, restOf } from './fit.js'

const FOLDS = 5
/**
 * Side of the squares, px. To choose by, half as wide again as the widest window that a point is looked for by, so that few look over
 * the border; for the spread of what was chosen, no further from the next point than the surface's own places are.
 */
const SQUARE = { choose: 48, spread: 24 }
/** Powers of ten. */
const SMOOTHEST = 1e8
const STEP = 10
const VALUES = 9
/** Median of a length in a plane whose both axes have a spread of 1: √(2·ln 2). */
const MEDIAN = 1.1774

/** The pairs of a frame and the matrix that the surface bends from. */
export interface Sheet {
  readonly pairs: Pairs
  readonly base: Matrix3
}

export interface Smoothness {
  readonly value: number
  /** What lies off of points that were left out, along an axis, px: with it, and with none bent at all. */
  readonly offPx: number
  readonly planePx: number
}

/** From the smoothest downwards; a bend must earn itself. */
export function smoothnessOf(mesh: Mesh, sheets: readonly Sheet[]): Smoothness {
  const tried = Array.from({ length: VALUES }, (_, i) => {
    const value = SMOOTHEST / STEP ** i
    const offs = sheets.map((s) => leftOut(mesh, s, value, SQUARE.choose).offPx).filter(Number.isFinite)
    return { value, offPx: Math.sqrt(offs.reduce((sum, v) => sum + v * v, 0) / Math.max(1, offs.length)) }
  })
  const plane = tried[0] as (typeof tried)[number]
  const least = Math.min(...tried.map((t) => t.offPx))
  const best = tried.find((t) => t.offPx <= chanceOf(sheets) * least) ?? plane
  return { ...best, planePx: plane.offPx }
}

/**
 * Of all that lie as near to the best as chance alone can say the smoothest is taken: one standard error. A spread told along two axes by
 * k places that are off by themselves is known to 1 / (2·√k) of itself, from a median 1.3 times worse; k is the squares that
 * hold points. Source: [hastie2009 §7.10]; the factor of the median is that of Rayleigh's law.
 */
function chanceOf(sheets: readonly Sheet[]): number {
  const held = sheets.map(({ pairs }) => new Set(Array.from(pairs.weight, (_, i) => squareOf(pairs, i))).size)
  return 1 + 0.65 / Math.sqrt(Math.max(1, median(held)))
}

const squareOf = ({ from }: Pairs, i: number) =>
  `${Math.floor((from[2 * i] as number) / SQUARE.choose)},${Math.floor((from[2 * i + 1] as number) / SQUARE.choose)}`

/** @returns NaN where a part is not settled by the rest */
function leftOut(
  mesh: Mesh,
  { pairs, base }: Sheet,
  smooth: number,
  side: number,
): { readonly offPx: number; readonly ownPx: number } {
  const nothing = { offPx: Number.NaN, ownPx: Number.NaN }
  const whole = fitSurface(mesh, base, pairs, smooth)
  if (whole === undefined) return nothing
  // Who goes elsewhere is known from all of them; where the surface lies is not.
  const weight = pairs.weight.map((w, i) => w * (whole.kept[i] as number))
  const rest = restOf(base, pairs)
  const offs: number[] = []
  for (let fold = 0; fold < FOLDS; fold++) {
    const square = (k: number) => Math.floor((pairs.from[k] as number) / side)
    const out = (i: number) => hash(0, 0, square(2 * i), square(2 * i + 1), 0) % FOLDS === fold
    const nodes = leastNodes(
      mesh,
      rest,
      weight.map((w, i) => (out(i) ? 0 : w)),
      smooth,
    )
    if (nodes === undefined) return nothing
    offs.push(...offsOf(mesh, base, nodes, pairs, out))
  }
  const own = median(Array.from(pairs.weight, (w) => 1 / Math.sqrt(w)).filter(Number.isFinite))
  return { offPx: median(offs) / MEDIAN, ownPx: own }
}

/** Spread of the surface, px; NaN where it is not settled. */
export function spreadOf(mesh: Mesh, sheet: Sheet, nodes: ArrayLike<number>, smooth: number): number {
  const { offPx, ownPx } = leftOut(mesh, sheet, smooth, SQUARE.spread)
  const within = median(offsOf(mesh, sheet.base, nodes, sheet.pairs, () => true)) / MEDIAN
  const square = Math.max(offPx * offPx - ownPx * ownPx, (offPx * offPx - within * within) / 2)
  return Math.sqrt(Math.max(square, 0))
}

/** Lengths of what is left of pairs that count, px. */
function offsOf(
  mesh: Mesh,
  base: Matrix3,
  nodes: ArrayLike<number>,
  { from, to, weight }: Pairs,
  which: (i: number) => boolean,
): number[] {
  return Array.from(weight).flatMap((w, i) => {
    if (!(w > 0) || !which(i)) return []
    const p: Place = [from[2 * i] as number, from[2 * i + 1] as number]
    const [u, v] = at(base, ...p)
    const [dx, dy] = offsetAt(mesh, nodes, p)
    return [Math.sqrt(((to[2 * i] as number) - u - dx) ** 2 + ((to[2 * i + 1] as number) - v - dy) ** 2)]
  })
}
