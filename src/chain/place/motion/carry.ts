/**
 * How much of a motion an element takes. About its anchor a, M is a shift, a size, a turn and a rest:
 *
 *   J  slope of M at a (2 × 2)        s = √|det J|   size
 *   R  the turn nearest to J          tan θ = (J₂₁ − J₁₂) / (J₁₁ + J₂₂)
 *
 *   place  a → M(a)        size  that, times s        turn  that, turned by R        all  M
 *
 * Every one of them carries the anchor to M(a). The turn nearest to J by least squares is that of its polar decomposition.
 * Source: [golub2013 §9.4.3].
 */
import { at, chained, type Matrix3, type Place, shift, slopeAt } from './matrix.js'

/** What is taken: where it is; its size as well; its turn as well; all of it. */
export type Take = 'place' | 'size' | 'turn' | 'all'

/** A motion about a place: where that goes, by how much things grow there (1: not), and by how much they turn. */
export interface Parts {
  readonly to: Place
  readonly size: number
  /** Cosine and sine of the turn, clockwise on the screen (right to down). */
  readonly turn: readonly [number, number]
}

/** Shift, size and turn of a motion at a place of the reference frame, px. */
export function partsAt(m: Matrix3, [x, y]: Place): Parts {
  const [a, b, c, d] = slopeAt(m, x, y)
  const [cos, sin] = [a + d, c - b]
  const length = Math.sqrt(cos * cos + sin * sin)
  return {
    to: at(m, x, y),
    size: Math.sqrt(Math.abs(a * d - b * c)),
    turn: length > 0 ? [cos / length, sin / length] : [1, 0],
  }
}

/** The matrix that an element with this anchor takes of the motion `m`; `anchor` in px of the reference frame. */
export function carried(m: Matrix3, take: Take, anchor: Place): Matrix3 {
  if (take === 'all') return m
  const { to, size, turn } = partsAt(m, anchor)
  const s = take === 'place' ? 1 : size
  const [cos, sin] = take === 'turn' ? turn : [1, 0]
  const about: Matrix3 = [s * cos, -s * sin, 0, s * sin, s * cos, 0, 0, 0, 1]
  return chained(shift(to[0], to[1]), chained(about, shift(-anchor[0], -anchor[1])))
}
