/** One pass over the frames that are looked at: what the findings are judged by. */
import { curveOf } from '../../colour/index.js'
import { type NativeFrame, Problem } from '../../core/index.js'
import type { Source, SourceInfo } from '../../media/index.js'
import { tracker } from '../progress.js'
import type { Job } from '../types.js'
import { BorderMeter } from './borderMeter.js'
import { Codes } from './codes.js'
import { FiniteMeter } from './finite.js'
import type { Lost } from './lost.js'
import { Motion } from './motion.js'
import { picksOf } from './picks.js'
import type { Still } from './still.js'

export interface Seen {
  readonly codes: Codes
  readonly motion: Motion
  readonly border: BorderMeter
  readonly finite: FiniteMeter
  readonly stills: readonly Still[]
  readonly frames: readonly number[]
  readonly lost: readonly Lost[]
  /** Some frames were not meant to be read. */
  readonly sampled: boolean
}

/** A frame that fails costs a new start of the decoder; so many in one place say enough. */
const MOST_LOST = 6

/** Frames that cannot be read are told in `lost`; everything else that goes wrong is thrown. */
export async function look(source: Source, all: boolean, job: Job): Promise<Seen> {
  const { info } = source
  const picks = picksOf(info, all, (frame) => source.reach(frame))
  const wanted = picks.runs.reduce((sum, r) => sum + r.count, 0)
  const progress = tracker(job, 'diagnose', wanted)
  const codes = new Codes(info.layout)
  const motion = new Motion(decodeOf(info))
  const border = new BorderMeter(info)
  const finite = new FiniteMeter()
  const stills: { frame: number; native: NativeFrame; after?: NativeFrame }[] = []
  const frames: number[] = []
  const lost: Lost[] = []
  const take = (frame: number, native: NativeFrame) => {
    const last = stills.at(-1)
    if (last?.frame === frame - 1) last.after = native
    if (picks.stills.has(frame)) stills.push({ frame, native })
    codes.add(frame, native)
    motion.add(frame, native)
    border.add(frame, native)
    finite.add(frame, native)
    frames.push(frame)
  }
  for (const { first, count } of picks.runs) {
    const end = first + count
    let failed = 0
    for (let frame = first; frame < end && failed < MOST_LOST; frame++) {
      try {
        for await (const native of source.frames(frame, end - frame)) {
          take(frame, native)
          progress(frames.length)
          frame++
        }
      } catch (e) {
        if (!(e instanceof Problem)) throw e
        lost.push({ frame, problem: e })
        failed++
      }
    }
  }
  return { codes, motion, border, finite, stills, frames, lost, sampled: wanted < info.frameCount }
}

/** Share of the code range to light. */
function decodeOf({ layout, encoding }: SourceInfo): (share: number) => number {
  const { decode } = curveOf(encoding.curve)
  if (layout.float || encoding.range === 'full') return (v) => Math.max(decode(v), 0)
  const [black, span] = [16 / 255.996, 219 / 255.996]
  return (v) => Math.max(decode((v - black) / span), 0)
}
