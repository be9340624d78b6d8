/**
 * A free motion where the points of a frame alone do not settle it: they lie in clusters, or along a border. What a hand does to a
 * camera from one frame to the next is a shift, a turn and a change of size; how a surface slants changes slowly. So the surface is
 * held to how it slanted on a frame that is known, as nine more pairs over the box of the points' places:
 *
 *   x → S(B(x))        spread 1 px for each frame in between
 *
 *   B  motion to the known frame       S  similarity from there to this frame, that most points follow
 *
 * Points that settle it better than that are believed. The one pixel is ours: on a hand-held push-in past a bed head 3.4 px let it wander,
 * 1 px did not.
 */
import { at, chained, IDENTITY, type Matrix3, type Place } from '../matrix.js'
import { fitMotion, type Lens } from './fit.js'
import { type Model, similarity } from './models.js'
import { spreadOver } from './nearest.js'
import { type Pairs, squaresOf } from './pairs.js'
import { agreeing, type RobustFit, robustMotion } from './robust.js'

const HELD_PX = 1
const ROUNDS = 3

/** Whether the points by themselves leave the box of their places more open than the frames around do. @param s2 errors by spreads, squared */
export function isOpen(model: Model, fit: RobustFit, s2: number, corners: readonly Place[]): boolean {
  if (model.free <= similarity.free) return false
  const over = spreadOver(corners)
  return s2 * over.reduce((sum, [x, y]) => sum + fit.varianceAt(x, y), 0) > HELD_PX ** 2 * over.length
}

/**
 * @param before motion to a frame that is known, `gap` frames away
 * @param corners of the box of the points' places, on the reference frame
 * @returns undefined where too few points go one way
 */
export function heldMotion(
  model: Model,
  pairs: Pairs,
  before: Matrix3,
  gap: number,
  corners: readonly Place[],
  lens?: Lens,
): RobustFit | undefined {
  const there = { ...pairs, from: carriedAll(before, pairs.from) }
  const step = robustMotion(similarity, there, IDENTITY, gap)
  if (step === undefined) return undefined
  const likely = chained(step.matrix, before)
  const over = Float64Array.from(spreadOver(corners).flat())
  const slant: Pairs = {
    from: over,
    to: carriedAll(likely, over),
    weight: new Float64Array(over.length / 2).fill(1 / (HELD_PX * gap) ** 2),
  }
  let agrees = step.agrees
  for (let round = 0; ; round++) {
    const going = pairs.weight.map((w, k) => w * (agrees[k] as number))
    const fit = fitMotion(model, together({ ...pairs, weight: going }, slant), lens)
    if (fit === undefined) return undefined
    if (round === ROUNDS) {
      const chi2 = squaresOf(fit.matrix, { ...pairs, weight: going })
        .filter(Number.isFinite)
        .reduce((a, b) => a + b, 0)
      const count = agrees.reduce((a, b) => a + b, 0)
      return { ...fit, agrees, chi2, degrees: Math.max(0, 2 * count - similarity.free) }
    }
    agrees = agreeing(fit.matrix, model, pairs)
  }
}

function carriedAll(m: Matrix3, places: Float64Array): Float64Array {
  const out = new Float64Array(places.length)
  for (let k = 0; k < places.length; k += 2) out.set(at(m, places[k] as number, places[k + 1] as number), k)
  return out
}

function together(a: Pairs, b: Pairs): Pairs {
  const both = (x: Float64Array, y: Float64Array) => Float64Array.from([...x, ...y])
  return { from: both(a.from, b.from), to: both(a.to, b.to), weight: both(a.weight, b.weight) }
}
