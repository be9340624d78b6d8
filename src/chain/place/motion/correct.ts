/**
 * Corrections by hand. On its frame a correction holds: what one to three pairs say moves the motion by a shift, a similarity, an affine
 * motion (never freer than the track's own), four and more by the track's own kind. Its spread is that of a place set to the
 * nearest pixel, 1/√12 px.
 *
 * Its neighbours get a share h of how the corners moved by it, falling from 1 to 0 over 12 frames, or over as many as lie
 * between it and the next corrected frame or the reference frame, where that is less: between two corrections they are mixed. Shares do not
 * cross a jump. A neighbour's variance grows by h·(1 − h)·d², d the correction: what is wrong on one frame is only guessed to go
 * so on the next. The 12 frames (half a second of film) are our choice.
 */
import { fitMotion } from './fit/fit.js'
import { affine, MODELS, type Model, similarity, translation } from './fit/models.js'
import { pairsOf } from './fit/pairs.js'
import { at, chained } from './matrix.js'
import { meanSquare, mixed, throughCorners, type Where, whereOf } from './path.js'
import type { Correction } from './seen.js'
import type { Context, Known } from './solve.js'

const REACH = 12
const NEAREST_PIXEL = 1 / 12

type Track = readonly (Known | undefined)[]

/** @param corrections their frames counted from the track's first  @param fill gives every frame some motion */
export function corrected(known: Track, corrections: readonly Correction[], piece: readonly number[], context: Context, fill: (known: Track) => Known[]): Track {
  if (corrections.length === 0) return known
  const before = fill(known)
  const byFrame = new Map<number, Correction[]>()
  for (const c of corrections) byFrame.set(c.frame, [...(byFrame.get(c.frame) ?? []), c])
  const out = [...known]
  const moved = new Map<number, Where>()
  for (const [frame, list] of byFrame) {
    const { matrix } = before[frame] as Known
    const pairs = pairsOf(list.map((c) => [at(matrix, ...c.from), c.to, 1] as const))
    const pull = pullers(list.length, context.model).map((m) => fitMotion(m, pairs)?.matrix).find((m) => m !== undefined)
    const now = pull ? chained(pull, matrix) : matrix
    out[frame] = { state: 'corrected', matrix: now, variance: NEAREST_PIXEL }
    moved.set(frame, mixed(1, whereOf(now, context.corners), -1, whereOf(matrix, context.corners)))
  }
  const exact = [...moved.keys(), context.reference].sort((a, b) => a - b)
  return out.map((k, i) => {
    if (k === undefined || k.state === 'corrected' || i === context.reference) return k
    let [where, variance] = [whereOf(k.matrix, context.corners), k.variance]
    for (const [frame, by] of moved) {
      const share = piece[frame] === piece[i] ? shareAt(i, frame, exact) : 0
      where = mixed(1, where, share, by)
      variance += share * (1 - share) * meanSquare(by)
    }
    const matrix = variance === k.variance ? k.matrix : throughCorners(context.model, context.corners, where, context.lens)
    return matrix ? { state: k.state, matrix, variance } : k
  })
}

function shareAt(i: number, frame: number, exact: readonly number[]): number {
  const next = i > frame ? exact.find((f) => f > frame) : exact.findLast((f) => f < frame)
  const reach = Math.min(REACH, next === undefined ? REACH : Math.abs(next - frame))
  return Math.max(0, 1 - Math.abs(i - frame) / reach)
}

/** The freest that so many pairs and the track's kind allow, then stiffer ones for pairs that do not settle it. */
function pullers(count: number, model: Model): readonly Model[] {
  const own = model.name === 'rotation' ? similarity : model
  return [MODELS.homography, affine, similarity, translation].filter((m) => m.least <= count && m.free <= own.free)
}
