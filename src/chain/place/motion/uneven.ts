import type { Uneven } from './seen.js'

/** A part that goes otherwise by more than that, px, on more frames than that, is told of: a choice, as a bridge's (bridge.ts). */
const MUCH_PX = 1
const FRAMES = 2

/** What is to be said of a camera that does not only turn. */
export function unevenSaid(uneven: readonly Uneven[]): readonly string[] {
  const much = uneven.filter((u) => u.worstPx > MUCH_PX)
  if (much.length <= FRAMES) return []
  const { frame, worst, worstPx } = much.reduce((a, b) => (b.worstPx > a.worstPx ? b : a))
  const [x, y] = worst.map((v) => Math.round(v))
  return [
    `The picture does not go as one: on ${much.length} frames parts of it go otherwise by more than ${MUCH_PX} px (${worstPx.toFixed(1)} px about ${x},${y} on frame ${frame}). The camera moves as well as turning, the lens bends, or something moves there. For what stands there draw a region about what stands as far away.`,
  ]
}
