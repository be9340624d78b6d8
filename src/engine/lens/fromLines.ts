/** The plate's distortion from straight lines in it. */
import { type LinedFrame, measureDistortion } from '../../chain/lens/distortion/measure.js'
import { type Reading, told } from '../../core/index.js'
import type { Source } from '../../media/index.js'
import type { Shot } from '../../shot/schema.js'
import { shotRange } from '../plan.js'
import { tracker } from '../progress.js'
import { spread } from '../samples.js'
import type { Job } from '../types.js'
import { lightOf } from './views.js'
import type { LensFound } from './write.js'

export interface LinesAsked {
  /** Of the shot; some over all of it when absent. */
  readonly frames?: { readonly first: number; readonly count: number } | undefined
  readonly within?: LinedFrame['within']
}

/** Frames that are looked at where none are asked for, and most that are. */
const FRAMES = 3
const MOST = 12
const AXIS =
  "The lens's axis is taken as the picture's middle. Where it is not (a cropped plate, a stabiliser), film a board: --board finds it."

export async function fromLines(
  shot: Shot,
  plate: Source,
  { frames, within }: LinesAsked,
  job: Job,
): Promise<{ readonly reading: Reading<LensFound>; readonly said: readonly string[] }> {
  const { first, count } = shotRange(shot, plate.info.frameCount)
  const from = frames?.first ?? 0
  const last = Math.min(from + (frames?.count ?? count), count) - 1
  const numbers = last < from ? [] : spread(first + from, first + last, frames === undefined ? FRAMES : MOST)
  const tick = tracker(job, 'lens', numbers.length)
  const seen: LinedFrame[] = []
  for (const frame of numbers) {
    tick(seen.length)
    for await (const native of plate.frames(frame, 1)) seen.push({ frame, picture: lightOf(native), within })
  }
  const { distortion } = measureDistortion(seen)
  tick(numbers.length)
  return { reading: distortion, said: told(distortion) ? [AXIS] : [] }
}
