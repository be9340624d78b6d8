/** The plate's lightness frame by frame, for ways that go forward or backward through the clip. */
import { Problem } from '../../core/index.js'
import { type Luma, lumaOf } from '../track/luma.js'
import type { Clip } from '../track/sweep.js'

/** Frames that are read at once, and as many again are held. */
const BLOCK = 16

/** @returns a frame's lightness by its number in the shot */
export function picturesOf({ source, first }: Clip): (frame: number) => Promise<Luma> {
  const held = new Map<number, Luma>()
  let before = Number.NEGATIVE_INFINITY
  return async (frame) => {
    const known = held.get(frame)
    const backward = frame < before
    before = frame
    if (known !== undefined) return known
    const start = backward ? Math.max(0, frame - BLOCK + 1) : frame
    const count = Math.min(BLOCK, source.info.frameCount - first - start)
    let n = start
    for await (const native of source.frames(first + start, count)) held.set(n++, lumaOf(native))
    for (const old of [...held.keys()]) if (Math.abs(old - frame) > BLOCK) held.delete(old)
    const read = held.get(frame)
    if (read !== undefined) return read
    throw new Problem({ code: 'carry.no-frame', what: `The plate has no frame ${first + frame}`, exit: 3 })
  }
}
