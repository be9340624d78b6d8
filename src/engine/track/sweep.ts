/** One pass over the clip for all tracks together, forward or backward in time. */
import type { Source } from '../../media/index.js'
import type { Place, Vision } from '../../vision/index.js'
import { nativeBytes } from '../memory.js'
import type { Follower, Outcome } from './follower.js'
import { type Luma, lumaOf } from './luma.js'
import { type Passage, Scene } from './scene.js'

/** A track on its way through the clip. */
export interface Course {
  readonly reference: number
  readonly first: number
  readonly last: number
  /** Makes what follows it, on its reference frame. */
  readonly begin: (luma: Luma) => Follower
}

/** What came of one pass. */
export interface Swept {
  /** By course; nothing where the pass did not reach it. */
  readonly followers: readonly (Follower | undefined)[]
  readonly outcomes: readonly (readonly Outcome[])[]
  /** How the whole picture went over from frame to frame. */
  readonly passages: readonly Passage[]
}

/** Frames that are held while a clip is read backwards, at most, and the bytes that they may take: at 2160p fewer fit. */
const HELD = 24
const HELD_BYTES = 200 * 2 ** 20

export interface Clip {
  readonly source: Source
  /** Plate frame of the shot's frame 0. */
  readonly first: number
}

/**
 * @param onFrame told after each frame; what it throws ends the pass
 * @returns followers and what they saw
 */
export async function sweep(
  vision: Vision,
  clip: Clip,
  courses: readonly Course[],
  way: 1 | -1,
  onFrame: () => void,
): Promise<Swept> {
  const followers: (Follower | undefined)[] = courses.map(() => undefined)
  const outcomes: Outcome[][] = courses.map(() => [])
  const passages: Passage[] = []
  const scene = new Scene(vision)
  let begun = false
  const active = (c: Course, frame: number) => frame >= c.first && frame <= c.last
  const span = ends(courses, way)
  for await (const { frame, luma } of span === undefined ? [] : lumas(clip, ...span)) {
    if (begun) {
      const going = followers.map((f, i) =>
        f !== undefined && active(courses[i] as Course, frame) ? f : undefined,
      )
      const asked = going.map((f) => f?.places() ?? [])
      const step = scene.step(luma, frame, asked.flat())
      passages.push(step.passage)
      let at = 0
      going.forEach((f, i) => {
        const count = (asked[i] as readonly Place[]).length
        const places = step.places.slice(at, at + count)
        at += count
        if (f === undefined) return
        outcomes[i]?.push(f.next(luma, frame, { ...step, places }))
      })
    } else scene.begin(luma, frame)
    begun = true
    courses.forEach((c, i) => {
      if (c.reference === frame) followers[i] = c.begin(luma)
    })
    onFrame()
  }
  return { followers, outcomes, passages }
}

/** First and last frame of a pass; none where no track has anything that way. */
function ends(courses: readonly Course[], way: 1 | -1): readonly [from: number, to: number] | undefined {
  const going = courses.filter((c) => (way > 0 ? c.last > c.reference : c.first < c.reference))
  if (going.length === 0) return undefined
  const from = going.map((c) => c.reference)
  return way > 0
    ? [Math.min(...from), Math.max(...going.map((c) => c.last))]
    : [Math.max(...from), Math.min(...going.map((c) => c.first))]
}

/** Frames that a pass looks at. */
export function passLength(courses: readonly Course[], way: 1 | -1): number {
  const span = ends(courses, way)
  return span === undefined ? 0 : way * (span[1] - span[0]) + 1
}

async function* lumas({ source, first }: Clip, from: number, to: number) {
  if (from <= to) {
    let frame = from
    for await (const native of source.frames(first + from, to - from + 1))
      yield { frame: frame++, luma: lumaOf(native) }
    return
  }
  const count = Math.max(2, Math.min(HELD, Math.floor(HELD_BYTES / nativeBytes(source.info))))
  for (let last = from; last >= to; last -= count) {
    const start = Math.max(to, last - count + 1)
    const held: Luma[] = []
    for await (const native of source.frames(first + start, last - start + 1)) held.push(lumaOf(native))
    for (let i = held.length - 1; i >= 0; i--) yield { frame: start + i, luma: held[i] as Luma }
  }
}
