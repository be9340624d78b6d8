import { widely } from '../../chain/place/motion/words.js'
import { median } from '../../core/index.js'
import type { TrackData } from '../../shot/index.js'

/** What came of a track, in a few numbers. */
export interface TrackSummary {
  readonly id: string
  readonly reference: number
  readonly motion: TrackData['motion']
  readonly why: string
  readonly frames: number
  /** Seen, or put right by hand. */
  readonly tracked: number
  readonly bridged: number
  readonly lost: number
  /** Of the tracked ones, those known no better than a bridge may be off: 2 px. */
  readonly wide: number
  /** Standard deviations of where a followed place lies, over the frames on which that is known, px. */
  readonly medianSpreadPx: number
  readonly worstSpreadPx: number
  readonly worstFrame: number
  readonly jumps: readonly number[]
  readonly said: readonly string[]
}

export function summaryOf({ id, reference, motion, why, frames, jumps, said }: TrackData): TrackSummary {
  const count = (...states: readonly string[]) => frames.filter((f) => states.includes(f.state)).length
  const known = frames.filter((f) => f.state !== 'lost')
  const worst = known.reduce(
    (a, b) => (b.spreadPx > a.spreadPx ? b : a),
    known[0] ?? { frame: reference, spreadPx: 0 },
  )
  return {
    ...{ id, reference, motion, why, frames: frames.length },
    ...{ tracked: count('tracked', 'corrected'), bridged: count('bridged'), lost: count('lost') },
    wide: widely(frames).length,
    ...{
      medianSpreadPx: median(known.map((f) => f.spreadPx)),
      worstSpreadPx: worst.spreadPx,
      worstFrame: worst.frame,
    },
    ...{ jumps, said },
  }
}
