/**
 * Which frames of an element to look at: five from its first to its last, as far as they are cheap to reach.
 *
 * Where a frame can only be decoded from a key before it, the frame near it that is cheapest is taken instead (up to a quarter
 * of the way to the next one; the last one only where that is too much). Where even those cost too much, none lies deeper
 * after its key than is affordable: of a long clip with a single key the head alone is seen.
 */
import { spread } from '../samples.js'

export const SAMPLES = 5
/** Pixels that may be decoded for one element: 64 frames of 1920×1080 (a choice). */
const BUDGET = 64 * 1920 * 1080
const LEAST = 16

/** @param reach frames to decode for a frame, itself included */
export function picksOf(count: number, pixels: number, reach: (frame: number) => number): number[] {
  const exact = spread(0, count - 1, SAMPLES)
  const budget = Math.max(LEAST, Math.floor(BUDGET / pixels))
  const room = Math.floor((count - 1) / (SAMPLES - 1) / 4)
  const near = exact.map((frame) => cheapest(frame, room, count, reach))
  const toEnd = [...near.slice(0, -1), count - 1]
  if (costOf(toEnd, reach) <= budget) return toEnd
  if (costOf(near, reach) <= budget) return near
  let [deep, shallow] = [count, 0]
  const within = (depth: number) => [
    ...new Set(near.map((frame) => frame - Math.max(0, reach(frame) - 1 - depth))),
  ]
  while (deep - shallow > 1) {
    const middle = (deep + shallow) >> 1
    if (costOf(within(middle), reach) <= budget) shallow = middle
    else deep = middle
  }
  return within(shallow)
}

/** Frames decoded for all: decoding goes on from one to the next where that is shorter. */
export function costOf(frames: readonly number[], reach: (frame: number) => number): number {
  return frames.reduce((sum, f, i) => sum + Math.min(reach(f), i === 0 ? f + 1 : f - frames[i - 1]!), 0)
}

function cheapest(frame: number, room: number, count: number, reach: (frame: number) => number): number {
  let best = frame
  for (let d = 1; d <= room; d++)
    for (const f of [frame - d, frame + d]) if (f >= 0 && f < count && reach(f) < reach(best)) best = f
  return best
}
