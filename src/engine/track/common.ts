/**
 * The motion that most marks of a plane go with. Marks that lie in clusters or along a line leave a free motion open: it throws all
 * that lies between them about, the next marks would be looked for there, and new ones put down on it. So which marks go together is
 * asked beside the last frame's motion, from which they have gone by little more than a shift, a turn and a change of size, and the
 * slant is held to that frame's as far as it is known (chain/place/motion/fit/slant.ts).
 */
import { type Fit, fitMotion } from '../../chain/place/motion/fit/fit.js'
import { homography, similarity } from '../../chain/place/motion/fit/models.js'
import { type Pair, PLAIN, pairsOf } from '../../chain/place/motion/fit/pairs.js'
import { carriedOver, type Placed, placedBy } from '../../chain/place/motion/fit/slant.js'
import { chained, slopeAt } from '../../chain/place/motion/matrix.js'
import {
  type Agreed,
  affineOf,
  homographyOf,
  type Matrix,
  type Place,
  type Vision,
} from '../../vision/index.js'
import { beyond } from './beyond.js'
import { apart, growth, through } from './matrix.js'
import { widened } from './weigh.js'

/** Pairs that eight numbers need at least, and by how many more they must go with those than with six. */
const BEARS = 10
const MORE = 1.1
/** Least that a slant may walk in a frame, px at the ends of the plane. */
const LEAST_WALK = 0.05
/** Each takes the slant about what the one before it found, and those that go with that. */
const ROUNDS = 3
/** A plane grows and shrinks by no more than that, and by no more than that from one of its ends to the other. */
const GROWS = 8
const SLANTS = 5

export interface Common extends Agreed {
  readonly placed: Placed
  /** Standard deviation along an axis of where a place of the reference frame lies, px. */
  readonly spreadAt: (p: Place) => number
}

/** What is known of a plane's motion on a frame. */
export interface Before {
  readonly matrix: Matrix
  readonly placed: Placed
  /** Frames since. */
  readonly gap: number
  /** Focal length, px, about: what a motion bends by goes with the view's width. */
  readonly focalPx: number
}

/**
 * @param off px that a pair may be off
 * @returns nothing where they agree on none, or on one that no plane makes
 */
export function commonMotion(
  vision: Vision,
  pairs: readonly Pair[],
  off: number,
  before: Before,
): Common | undefined {
  const { matrix: last, placed } = before
  const from = pairs.map((p) => through(last, p[0]))
  const to = pairs.map((p) => p[1])
  const agreed = mostAgree(vision, from, to, off)
  if (agreed === undefined) return undefined
  let agree = agreed.agree
  // Marks along a line leave six numbers open: what goes before the slant is a shift, a turn and a size.
  const beside = pairsOf(
    pairs.flatMap(([, ...p], i) => (agree[i] ? [[from[i] as Place, ...p] as const] : [])),
  )
  const step = fitMotion(similarity, beside)?.matrix
  let about = step && chained(step, last)
  let fit: Fit | undefined
  for (let round = 0; round < ROUNDS && about !== undefined; round++) {
    const prior = carriedOver(placed, about, walkOf(before, about))
    const going = wide(
      pairs.filter((_, i) => agree[i]),
      about,
    )
    fit = prior && fitMotion(homography, pairsOf(going), undefined, [prior])
    about = fit?.matrix
    agree = pairs.map((p) => about !== undefined && apart(through(about, p[0]), p[1]) <= off)
  }
  if (fit === undefined || !ofAPlane(fit.matrix, placed.corners)) return undefined
  const { matrix, varianceAt } = fit
  return {
    ...{ matrix, agree },
    placed: placedBy(fit, placed.corners),
    spreadAt: ([x, y]) => Math.sqrt(varianceAt(x, y)),
  }
}

/** Pairs err by more than their own spreads know of: by how much, what lies off a motion tells. */
function wide(pairs: readonly Pair[], about: Matrix): Pair[] {
  const more = beyond(
    pairs.map(([p, q]) => apart(through(about, p), q) ** 2),
    pairs.map(([, , spread]) => spread ** 2),
  )
  return pairs.map(([p, q, own, from = PLAIN]) => {
    const { spread, weighing } = widened({ spread: own, weighing: from }, more)
    return [p, q, spread, weighing]
  })
}

/**
 * How far the slant may have walked, px²: where the whole moves by s px, by a turn or by going nearer, what is not shift, turn and size
 * comes to s·(h/f)² at h px from its middle.
 */
function walkOf({ matrix, placed: { corners }, gap, focalPx }: Before, now: Matrix): number {
  const ways = corners.map((c) => apart(through(matrix, c), through(now, c)))
  const half =
    Math.max(...corners.map((c) => apart(through(matrix, c), through(matrix, corners[0] as Place)))) / 2
  return (Math.max(...ways) * (half / focalPx) ** 2) ** 2 + LEAST_WALK ** 2 * gap
}

function mostAgree(
  vision: Vision,
  from: readonly Place[],
  to: readonly Place[],
  off: number,
): Agreed | undefined {
  const six = affineOf(vision, from, to, off)
  const eight = from.length < BEARS ? undefined : homographyOf(vision, from, to, off)
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
