/**
 * What may be said of a whole file by a part of its frames. This is the one place for the rule, which is a choice:
 *
 *   confidence of `fine` = own · (0.5 + 0.5 · seen / all)        down to the next 0.05
 *
 * It holds for what a single frame can hold and its neighbours not: a flash, a repeat, a lost frame, a comb, a mixture, a touch of
 * the border, a NaN. Of frames that nobody saw, half of what is known of the others is believed, and the sentence says how many were
 * seen. Clipped and crushed lights too are of a frame, and are measured on a few of those that are decoded. What was found stays as sure as it is; what all frames share (curve, range, matrix, noise, fields) is seen in some.
 */
import type { Finding } from './finding.js'

const SINGLE: ReadonlySet<string> = new Set(
  ['frames', 'repeats', 'drops', 'combs', 'blends', 'flash', 'border', 'finite'].map((w) => `diagnose.${w}`),
)

/** Measured on the frames that the finding names, however many are decoded. */
const FEW: ReadonlySet<string> = new Set(['diagnose.clipped', 'diagnose.crushed'])

export interface Share {
  /** Frames that were decoded, and frames of the file. */
  readonly seen: number
  readonly all: number
  /** Reading them all was not asked for: it would tell more. */
  readonly sampled: boolean
}

/** The finding as far as the frames seen carry it. */
export function carried(f: Finding, { seen, all, sampled }: Share): Finding {
  const few = FEW.has(f.code)
  const own = few ? f.frames.length : seen
  if (f.verdict !== 'fine' || own >= all || !(few || SINGLE.has(f.code))) return f
  const confidence = Math.floor(20 * f.confidence * (0.5 + (0.5 * own) / all) + 1e-9) / 20
  const how = few ? 'measured for it' : sampled ? 'looked at; --all reads every one' : 'that could be read'
  return {
    ...f,
    confidence,
    sentence: `${f.sentence.replace(/\.$/, '')} on the ${own} ${own === 1 ? 'frame' : 'frames'} ${how}.`,
    numbers: { ...f.numbers, framesLookedAt: own, framesInAll: all },
  }
}
