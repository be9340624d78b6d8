/** Frames that were not seen: carried over from both sides, or lost. */
import { type BridgeState, withBridges } from './bridge.js'
import type { Context, Known } from './known.js'
import { meanSquare, mixed, throughCorners, type Where, whereOf } from './path.js'

/** Number of the piece that each frame belongs to. */
export function pieces(count: number, begins: ReadonlySet<number>): readonly number[] {
  let piece = 0
  return Array.from({ length: count }, (_, i) => (begins.has(i) ? ++piece : piece))
}

/**
 * Bridges what lies between known frames of a piece. Where that is too wide to count, it is lost, and what was carried over stays as a
 * guess; what is left is lost, and keeps the last known motion.
 */
export function filled(
  known: readonly (Known | undefined)[],
  piece: readonly number[],
  { model, lens, corners }: Pick<Context, 'model' | 'lens' | 'corners'>,
  widest?: number,
): Known[] {
  const path = known.map((k) => k && whereOf(k.matrix, corners))
  const bridge = (where: Where, variance: number, state: BridgeState): Known | undefined => {
    const matrix = throughCorners(model, corners, where, lens)
    return matrix && { state, matrix, variance }
  }
  const out = withBridges(known, path, piece, bridge, widest)
  const step = usualStep(path, piece)
  let [last, since] = [out.find((k) => k !== undefined) as Known, 0]
  return out.map((k) => {
    since = k ? 0 : since + 1
    if (k) last = k
    return k ?? { state: 'lost', matrix: last.matrix, variance: last.variance + step * since * since }
  })
}

/** Mean square of the shot's steps from frame to frame along an axis, px². */
function usualStep(path: readonly (Where | undefined)[], piece: readonly number[]): number {
  const steps = path.flatMap((here, i) => {
    const before = path[i - 1]
    return here && before && piece[i] === piece[i - 1] ? [meanSquare(mixed(1, here, -1, before))] : []
  })
  return steps.length === 0 ? 0 : steps.reduce((a, b) => a + b, 0) / steps.length
}
