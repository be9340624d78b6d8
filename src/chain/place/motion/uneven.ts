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

/**
 * Mean squares by frame, px²: farther from the reference frame no less than nearer to it, since depths that part do not meet again while
 * the camera goes on, and what parts most is soon not followed any more. What one frame alone shows is a mistake: the lesser of
 * two in turn counts.
 *
 * @param frames count  @param reference index
 */
export function unevenOutwards(
  uneven: ReadonlyMap<number, number>,
  frames: number,
  reference: number,
): readonly number[] {
  const out = new Array<number>(frames).fill(0)
  for (const way of [1, -1]) {
    let [widest, last] = [0, 0]
    for (let i = reference + way; i >= 0 && i < frames; i += way) {
      const here = uneven.get(i)
      if (here !== undefined) {
        widest = Math.max(widest, Math.min(here, last))
        last = here
      }
      out[i] = widest
    }
  }
  return out
}
