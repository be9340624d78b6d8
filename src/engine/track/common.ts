/**
 * The motion that most marks of a plane go with, and how free it may be. A free motion through marks that lie in clusters or along a
 * line throws all that lies between them about; the next marks would be looked for there, and new ones put down on it.
 */
import { fitMotion } from '../../chain/place/motion/fit/fit.js'
import { MODELS } from '../../chain/place/motion/fit/models.js'
import { expectedSquare, spreadOver } from '../../chain/place/motion/fit/nearest.js'
import { type Pair, pairsOf } from '../../chain/place/motion/fit/pairs.js'
import { slopeAt } from '../../chain/place/motion/matrix.js'
import {
  type Agreed,
  affineOf,
  homographyOf,
  type Matrix,
  type Place,
  type Vision,
} from '../../vision/index.js'
import { growth } from './matrix.js'

/** Pairs that eight numbers need at least, and by how many more they must go with those than with six. */
const BEARS = 10
const MORE = 1.1
/** Degrees of freedom that the spreads count as, as they are said. */
const AS_GIVEN = 10
/** A plane grows and shrinks by no more than that, and by no more than that from one of its ends to the other. */
const GROWS = 8
const SLANTS = 5

/**
 * @param off px that a pair may be off
 * @param where the plane lies, on the reference frame
 * @returns nothing where they agree on none, or on one that no plane makes
 */
export function commonMotion(
  vision: Vision,
  pairs: readonly Pair[],
  off: number,
  where: readonly Place[],
): Agreed | undefined {
  const agreed = mostAgree(vision, pairs, off)
  if (agreed === undefined) return undefined
  const going = pairsOf(pairs.filter((_, i) => agreed.agree[i]))
  const over = spreadOver(where)
  const fits = [MODELS.similarity, MODELS.affine, MODELS.homography].flatMap((m) => fitMotion(m, going) ?? [])
  const freest = fits[fits.length - 1]
  if (freest === undefined) return undefined
  const s2 = (AS_GIVEN + freest.chi2) / (AS_GIVEN + freest.degrees)
  const best = fits
    .map((fit) => ({ fit, square: expectedSquare(fit, freest, s2, over) }))
    .reduce((a, b) => (b.square < a.square ? b : a))
  const { matrix } = best.fit
  return ofAPlane(matrix, over) ? { matrix, agree: agreed.agree } : undefined
}

function mostAgree(vision: Vision, pairs: readonly Pair[], off: number): Agreed | undefined {
  const [from, to] = [pairs.map((p) => p[0]), pairs.map((p) => p[1])]
  const six = affineOf(vision, from, to, off)
  const eight = pairs.length < BEARS ? undefined : homographyOf(vision, from, to, off)
  const count = (a: Agreed | undefined) => a?.agree.filter(Boolean).length ?? 0
  return count(eight) > MORE * count(six) ? eight : six
}

function ofAPlane(m: Matrix, places: readonly Place[]): boolean {
  const slopes = places.map((p) => slopeAt(m, ...p))
  const sizes = slopes.map(growth)
  const [least, most] = [Math.min(...sizes), Math.max(...sizes)]
  const upright = slopes.every(([a, b, c, d]) => a * d - b * c > 0)
  return upright && least > 1 / GROWS && most < GROWS && most < SLANTS * least
}
