/**
 * Corrections by hand. On its frame a correction holds: what one to three pairs say moves the motion by a shift, a similarity, an affine
 * motion (never freer than the track's own), four and more by the track's own kind. Its spread is that of a place set to the
 * nearest pixel, 1/√12 px.
 *
 * Its neighbours get a share h of how the corners moved by it, falling from 1 on its frame to 0
 *
 *   on tracked frames  12 frames further, or at the next corrected frame or the reference frame, where that is nearer (between two
 *                      corrections they are mixed)
 *   on bridged frames  at the next frame that is known: what is put right within a gap says nothing of what was seen beside it
 *   where what is followed went astray (astray.ts) as on tracked frames; it says which of the things is meant, so their spread goes too
 *
 * and their variance becomes (1 − h)·own + h·(1/12) px² in a gap, own + h·(1 − h)·d² where points were seen, d the correction: what was wrong
 * on one frame is only guessed to go so on the next. Shares do not cross a jump. The 12 frames (half a second of film) are our choice.
 */
import { WIDEST_PX } from './bridge.js'
import { fitMotion } from './fit/fit.js'
import { affine, MODELS, type Model, similarity, translation } from './fit/models.js'
import { pairsOf } from './fit/pairs.js'
import type { Context, Known } from './known.js'
import { at, chained } from './matrix.js'
import { meanSquare, mixed, throughCorners, type Where, whereOf } from './path.js'
import type { Correction } from './seen.js'

const REACH = 12
const NEAREST_PIXEL = 1 / 12

type Track = readonly (Known | undefined)[]

/** @param corrections their frames counted from the track's first  @param fill gives every frame some motion */
export function corrected(
  known: Track,
  corrections: readonly Correction[],
  piece: readonly number[],
  context: Context,
  fill: (known: Track) => Known[],
): Track {
  if (corrections.length === 0) return known
  const before = fill(known)
  const byFrame = new Map<number, Correction[]>()
  for (const c of corrections) byFrame.set(c.frame, [...(byFrame.get(c.frame) ?? []), c])
  const out = [...known]
  const moved = new Map<number, Where>()
  for (const [frame, list] of byFrame) {
    const { matrix } = before[frame] as Known
    const pairs = pairsOf(list.map((c) => [at(matrix, ...c.from), c.to, 1] as const))
    const pull = pullers(list.length, context.model)
      .map((m) => fitMotion(m, pairs)?.matrix)
      .find((m) => m !== undefined)
    const now = pull ? chained(pull, matrix) : matrix
    out[frame] = { state: 'corrected', matrix: now, variance: NEAREST_PIXEL }
    moved.set(frame, mixed(1, whereOf(now, context.corners), -1, whereOf(matrix, context.corners)))
  }
  const exact = [...moved.keys(), context.reference].sort((a, b) => a - b)
  const footing = out.flatMap((k, i) => (k ? [i] : []))
  return out.map((k, i) => {
    const own = before[i] as Known
    if (k?.state === 'corrected' || i === context.reference) return k
    if (k === undefined && own.state === 'lost') return k
    const astray = k?.state === 'lost'
    let [where, variance, touched] = [whereOf(own.matrix, context.corners), own.variance, false]
    for (const [frame, by] of moved) {
      if (piece[frame] !== piece[i] || (known[frame] === undefined) !== (k === undefined)) continue
      const share = k ? shareAt(i, frame, exact, REACH) : shareAt(i, frame, footing, Number.POSITIVE_INFINITY)
      if (share === 0) continue
      where = mixed(1, where, share, by)
      variance = astray
        ? variance - share * (own.variance - NEAREST_PIXEL) + share * (1 - share) * meanSquare(by)
        : k
          ? variance + share * (1 - share) * meanSquare(by)
          : variance + share * (NEAREST_PIXEL - own.variance)
      touched = true
    }
    const matrix = touched ? throughCorners(context.model, context.corners, where, context.lens) : undefined
    const state = astray && variance <= WIDEST_PX ** 2 ? 'tracked' : own.state
    return matrix ? { state, matrix, variance } : k
  })
}

/** 1 at `frame`, 0 at the next of `stops` and `reach` frames further. */
function shareAt(i: number, frame: number, stops: readonly number[], reach: number): number {
  const next = i > frame ? stops.find((f) => f > frame) : stops.findLast((f) => f < frame)
  const length = Math.min(reach, next === undefined ? reach : Math.abs(next - frame))
  return length === Number.POSITIVE_INFINITY ? 0 : Math.max(0, 1 - Math.abs(i - frame) / length)
}

/** The freest that so many pairs and the track's kind allow, then stiffer ones for pairs that do not settle it. */
function pullers(count: number, model: Model): readonly Model[] {
  const own = model.name === 'rotation' ? similarity : model
  return [MODELS.homography, affine, similarity, translation].filter(
    (m) => m.least <= count && m.free <= own.free,
  )
}
