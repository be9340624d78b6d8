/**
 * From points seen frame by frame to a motion over the shot.
 *
 *   1. each frame against the reference frame, with what the frames around it say of how the surface slants (frames.ts)
 *   2. corrections by hand (correct.ts), jumps (jumps.ts), bridges over what is not known (bridge.ts)
 *
 * The reference frame's motion is none, by definition.
 */
import { Problem } from '../../../core/index.js'
import { astraySaid } from './astray.js'
import { agreed, chosenMotion, focalFor } from './choose.js'
import { corrected } from './correct.js'
import { filled, pieces } from './fill.js'
import type { Lens } from './fit/fit.js'
import { MODELS, type Model } from './fit/models.js'
import { countOf, type Pairs } from './fit/pairs.js'
import { fitted } from './frames.js'
import { jumpsIn } from './jumps.js'
import type { SolvedFrame } from './known.js'
import { cornersOf, whereOf } from './path.js'
import { lensOf, pairsByFrame, type Seen, straightened } from './seen.js'
import { unseenSaid } from './stretch.js'
import { unevenSaid } from './uneven.js'
import { jumpsSaid, saidOf } from './words.js'

export interface Solved {
  readonly motion: Model['name']
  readonly why: string
  /** Of a rotation. */
  readonly focalPx?: number
  readonly frames: readonly SolvedFrame[]
  readonly said: readonly string[]
}

/**
 * The motion over the shot.
 *
 * @throws Problem `place.motion-reference` (outside the frames), `place.motion-points` (none), `place.motion-correction` (on the
 *   reference frame, or outside the frames), `place.motion-lens` (a rotation is asked for, and focal length or middle cannot be told)
 */
export function solveMotion(seen: Seen): Solved {
  demand(seen)
  const frames = pairsByFrame(seen)
  const { places, outline, corrections } = straightened(seen)
  const { model, lens, why } = seen.motion
    ? { model: MODELS[seen.motion], lens: lensAsked(seen, frames), why: 'as it was asked for' }
    : chosenMotion(seen, frames, places)
  const { first } = seen.frames
  const reference = seen.reference - first
  const cuts = new Set((seen.cuts ?? []).map((f) => f - first))
  const astray = new Map(seen.astray?.map((a) => [a.frame - first, a]))
  const uneven = new Map(seen.uneven?.map((u) => [u.frame - first, u.rmsPx ** 2]))
  const found = fitted(model, frames, { places, outline, reference, cuts, lens, astray, uneven })
  const context = { model, lens, corners: cornersOf(places), reference }
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
    said: [
      ...astraySaid(seen.astray ?? []),
      ...unseenSaid(seen.points, seen.outline),
      ...unevenSaid(seen.uneven ?? []),
      ...saidOf(done, jumpsSaid(jumps, first, seen.cuts !== undefined)),
    ],
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
