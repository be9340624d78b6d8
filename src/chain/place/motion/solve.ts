/**
 * From points seen frame by frame to a motion over the shot.
 *
 *   1. each frame by itself against the reference frame (so nothing adds up from frame to frame): the motion that most points
 *      follow, outwards from the reference, each frame predicted by the one before it (fit/robust.ts); half of the points must agree,
 *      and twice as many as the motion needs, where there are so many at all: fewer agree by chance.
 *      Where they leave it open how a surface slants, it is held to how it did on the frame before (fit/held.ts)
 *   2. s²: how much larger than their spreads the points' errors are; the shot's own, and on a frame what its points say of it,
 *      weighed against the shot's as ten degrees of freedom. Spread² = s² · mean variance of the points' places as they are carried
 *   3. corrections by hand (correct.ts), jumps (jumps.ts), bridges over what is not known (bridge.ts)
 *
 * The reference frame's motion is none, by definition. Source: [gelman2013 §2.6] for the weighing of variances.
 */
import { Problem } from '../../../core/index.js'
import { agreed, chosenMotion, focalFor } from './choose.js'
import { corrected } from './correct.js'
import { filled, pieces } from './fill.js'
import type { Lens } from './fit/fit.js'
import { heldMotion, isOpen } from './fit/held.js'
import { MODELS, type Model } from './fit/models.js'
import { countOf, type Pairs } from './fit/pairs.js'
import { robustMotion } from './fit/robust.js'
import { jumpsIn } from './jumps.js'
import type { Known, SolvedFrame } from './known.js'
import { IDENTITY, type Place } from './matrix.js'
import { cornersOf, whereOf } from './path.js'
import { lensOf, pairsByFrame, type Seen, straightened } from './seen.js'
import { jumpsSaid, saidOf } from './words.js'

export interface Solved {
  readonly motion: Model['name']
  readonly why: string
  /** Of a rotation. */
  readonly focalPx?: number
  readonly frames: readonly SolvedFrame[]
  readonly said: readonly string[]
}

/** Degrees of freedom that the shot's own errors count as, on a single frame. */
const SHOT_COUNTS = 10

/**
 * The motion over the shot.
 *
 * @throws Problem `place.motion-reference` (outside the frames), `place.motion-points` (none), `place.motion-correction` (on the
 *   reference frame, or outside the frames), `place.motion-lens` (a rotation is asked for, and focal length or middle cannot be told)
 */
export function solveMotion(seen: Seen): Solved {
  demand(seen)
  const frames = pairsByFrame(seen)
  const { places, corrections } = straightened(seen)
  const { model, lens, why } = seen.motion
    ? { model: MODELS[seen.motion], lens: lensAsked(seen, frames), why: 'as it was asked for' }
    : chosenMotion(seen, frames, places)
  const { first } = seen.frames
  const found = fitted(model, frames, places, seen.reference - first, lens)
  const context = { model, lens, corners: cornersOf(places), reference: seen.reference - first }
  const cuts = new Set((seen.cuts ?? []).map((f) => f - first))
  const paths = found.known.map((k) => k && whereOf(k.matrix, context.corners))
  const jumps = jumpsIn(
    paths,
    found.known.map((k) => Math.sqrt(k?.variance ?? 0)),
    cuts,
  )
  const piece = pieces(frames.length, new Set([...cuts, ...jumps.map((j) => j.at)]))
  const whole = corrected(
    found.known,
    corrections.map((c) => ({ ...c, frame: c.frame - first })),
    piece,
    context,
    (known) => filled(known, piece, context),
  )
  const done = filled(whole, piece, context).map((k, i) => ({
    frame: first + i,
    state: k.state,
    matrix: k.matrix,
    spreadPx: Math.sqrt(k.variance),
    agree: found.agree[i] as number,
    seen: found.seen[i] as number,
  }))
  return {
    motion: model.name,
    why,
    ...(lens ? { focalPx: lens.focalPx } : {}),
    frames: done,
    said: saidOf(done, jumpsSaid(jumps, first, seen.cuts !== undefined)),
  }
}

function demand({ reference, frames, points, corrections }: Seen): void {
  const inside = (f: number) => f >= frames.first && f < frames.first + frames.count
  const range = `${frames.first} to ${frames.first + frames.count - 1}`
  const fault = (code: string, what: string, expected: string, received: string) =>
    new Problem({ code: `place.motion-${code}`, what, expected, received })
  if (!inside(reference))
    throw fault(
      'reference',
      'the reference frame is none of the frames that are followed',
      range,
      `${reference}`,
    )
  if (points.length === 0)
    throw fault('points', 'there is no point to tell the motion from', 'one or more', 'none')
  for (const { frame } of corrections ?? []) {
    if (!inside(frame) || frame === reference)
      throw fault(
        'correction',
        'this frame cannot be corrected',
        `${range}, and not the reference frame ${reference}`,
        `${frame}`,
      )
  }
}

function lensAsked(seen: Seen, frames: readonly Pairs[]): Lens | undefined {
  if (seen.motion !== 'rotation') return undefined
  const focal = focalFor(
    seen,
    frames.filter((p) => countOf(p) > 1).map((p, i) => agreed(MODELS.similarity, p, i)),
  )
  const lens = focal && lensOf(seen, focal.focalPx)
  if (lens === undefined) {
    throw new Problem({
      code: 'place.motion-lens',
      what: 'The focal length of this turning camera cannot be told from the points',
      expected: 'the middle of the lens, and its focal length in pixels or turns that bend the picture',
      received: seen.lens ? 'no focal length' : 'no middle of the lens',
      remedy: 'Give the focal length, or let the motion be chosen.',
    })
  }
  return lens
}

interface Found {
  readonly known: readonly (Known | undefined)[]
  readonly agree: readonly number[]
  readonly seen: readonly number[]
}

function fitted(
  model: Model,
  frames: readonly Pairs[],
  places: readonly Place[],
  reference: number,
  lens?: Lens,
): Found {
  const fits = new Array<ReturnType<typeof robustMotion>>(frames.length).fill(undefined)
  const corners = cornersOf(places)
  for (const way of [1, -1]) {
    let [predicted, known] = [IDENTITY, reference]
    for (let i = reference + way; i >= 0 && i < frames.length; i += way) {
      const pairs = frames[i] as Pairs
      const free = robustMotion(model, pairs, predicted, i, lens)
      const open = free === undefined || isOpen(model, free, weighed(1, free.chi2, free.degrees), corners)
      const rejects = free !== undefined && model.free > 4 && sum(free.agrees) < countOf(pairs)
      const held =
        open || rejects ? heldMotion(model, pairs, predicted, Math.abs(i - known), corners, lens) : undefined
      // A cluster of points can outvote the others for a slant of its own.
      const fit = held && (open || sum(held.agrees) > sum(free.agrees)) ? held : free
      const least = Math.max(countOf(pairs) / 2, Math.min(model.free, places.length / 2))
      if (fit === undefined || sum(fit.agrees) < least) continue
      fits[i] = fit
      ;[predicted, known] = [fit.matrix, i]
    }
  }
  const good = fits.filter((f) => f !== undefined)
  const shot = weighed(1, sum(good.map((f) => f.chi2)), sum(good.map((f) => f.degrees)))
  return {
    known: fits.map((fit, i) => {
      if (i === reference) return { state: 'tracked', matrix: IDENTITY, variance: 0 }
      if (fit === undefined) return undefined
      const mean = sum(places.map(([x, y]) => fit.varianceAt(x, y))) / places.length
      return { state: 'tracked', matrix: fit.matrix, variance: weighed(shot, fit.chi2, fit.degrees) * mean }
    }),
    agree: fits.map((fit, i) => (fit ? sum(fit.agrees) : i === reference ? countOf(frames[i] as Pairs) : 0)),
    seen: frames.map((p) => p.weight.length),
  }
}

const weighed = (usual: number, chi2: number, degrees: number) =>
  (SHOT_COUNTS * usual + chi2) / (SHOT_COUNTS + degrees)
const sum = (v: Iterable<number>) => {
  let s = 0
  for (const x of v) s += x
  return s
}
