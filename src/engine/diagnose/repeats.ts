/**
 * Frames that repeat the one before: exactly, or but for noise and compression (change under 0.35 of what is usual around
 * them, without a shape), and the pattern that they make. Every fifth of 30 frames a second is 24 pulled up; 3 and 2 in turn are 24 in 60.
 * Common practice.
 */

import { cannotTell, type Finding } from './finding.js'
import type { Step } from './motion.js'
import { listed, type Moved, runsOf, STILL, usual } from './runs.js'

const CODE = 'diagnose.repeats'
const METHOD = 'difference of successive frames against what is usual around them'
const NEAR = 0.35
/** Usual change from which a nearly still frame is worth a word: in less, compression comes and goes by itself. */
const MOVES = 1.5e-3
/** Change that noise and compression may leave between a frame and its repeat; a shaken camera turns round with more. */
const NOISY = 6e-3

export interface Repeats {
  readonly exact: readonly number[]
  readonly near: readonly number[]
  /** Steps a pattern takes, and which of them repeat (from the first repeat). */
  readonly pattern: { readonly period: number; readonly repeats: number } | undefined
}

export function repeatsOf(steps: readonly Step[], conformed: ReadonlySet<number>): Repeats {
  const exact: number[] = []
  const near: number[] = []
  const flags: boolean[][] = []
  for (const run of runsOf(steps)) {
    const isSame = (s: Moved) => s.same
    flags.push(
      run.map((s, i) => {
        if (conformed.has(s.frame)) return false
        // An empty lead-in is no repeat, nor is a picture in which nothing moves on either side.
        const around = usual(run, i, 6, isSame)
        if (s.spread < 1e-3 || around < STILL) return false
        if (s.same) exact.push(s.frame)
        else if (around > MOVES && s.one < Math.min(NEAR * around, NOISY) && isGap(run, i) && isNoise(s))
          near.push(s.frame)
        else return false
        return true
      }),
    )
  }
  return { exact, near, pattern: patternOf(flags) }
}

/** What changed has no shape: noise falls off in larger cells, motion does not. */
function isNoise(s: Moved): boolean {
  return s.one < STILL / 3 || s.coarse < 0.45 * s.one
}

/** The step is far below its own neighbours too: no motion that slowly comes to rest. */
function isGap(run: readonly Moved[], i: number): boolean {
  const own = (run[i] as Moved).one
  const beside = [run[i - 1], run[i + 1]].filter((s) => s !== undefined)
  return beside.length > 0 && beside.every((s) => s.one > 2 * own)
}

function patternOf(runs: readonly boolean[][]): Repeats['pattern'] {
  for (let period = 2; period <= 6; period++) {
    let best: { period: number; repeats: number } | undefined
    const whole = runs.filter((r) => r.length >= 3 * period - 1)
    if (whole.length === 0) continue
    const fits = whole.every((r) => {
      let agree = 0
      for (let i = period; i < r.length; i++) if (r[i] === r[i - period]) agree++
      const some = r.slice(0, period).filter(Boolean).length
      if (some === 0 || some === period || agree < 0.95 * (r.length - period)) return false
      best = { period, repeats: some }
      return true
    })
    if (fits) return best
  }
  return undefined
}

/** @param conformed frames shown twice to keep a constant rate: the file itself does not repeat them */
export function repeatsFinding(
  r: Repeats,
  steps: readonly Step[],
  looked: readonly number[],
  conformed: readonly number[] = [],
): Finding {
  const frames = [...r.exact, ...r.near].sort((a, b) => a - b)
  const numbers = {
    exact: r.exact.length,
    near: r.near.length,
    ...(r.pattern === undefined ? {} : { period: r.pattern.period, repeatsAPeriod: r.pattern.repeats }),
  }
  if (frames.length === 0) {
    if (steps.length < 3)
      return cannotTell(CODE, 'There are too few frames to see how they follow.', METHOD, looked)
    const moving = steps.some((s) => (s.one ?? 0) >= STILL)
    return moving
      ? {
          code: CODE,
          verdict: 'fine',
          sentence:
            conformed.length === 0
              ? 'No frame repeats the one before.'
              : `But for those shown twice to keep a constant rate (${listed(conformed)}), no frame repeats the one before.`,
          confidence: 0.8,
          frames: looked,
          method: METHOD,
          numbers,
        }
      : cannotTell(
          CODE,
          'Nothing moves: a repeated frame would look like any other.',
          METHOD,
          looked,
          numbers,
        )
  }
  const exact = r.exact.length >= r.near.length
  return {
    code: CODE,
    verdict: 'fault',
    sentence: `${words(r)} (${listed(frames)}).`,
    remedy: remedyOf(r),
    confidence: exact ? 0.95 : r.pattern !== undefined || r.near.length > 1 ? 0.75 : 0.6,
    frames,
    method: METHOD,
    numbers,
  }
}

function remedyOf({ pattern }: Repeats): string {
  if (pattern?.period === 2 || pattern?.period === 5)
    return 'Take the repeats out and play it at the rate it was shot at, or ask for that file.'
  return 'Ask for the file as it was shot, or leave the repeats out where the motion allows it.'
}

function words({ exact, near, pattern }: Repeats): string {
  if (pattern?.period === 2) return 'Every frame stands twice: half the rate was doubled'
  if (pattern?.period === 5 && pattern.repeats === 1)
    return 'Every fifth frame repeats the one before: 24 frames were made 30'
  if (pattern?.period === 5 && pattern.repeats === 3)
    return 'Frames stand three and two times in turn: 24 frames were made 60'
  const many = exact.length + near.length
  const how = near.length === 0 ? 'exactly' : exact.length === 0 ? 'but for noise' : 'exactly or nearly'
  const period = pattern === undefined ? '' : `, in a pattern of ${pattern.period}`
  return `${many} ${many === 1 ? 'frame repeats' : 'frames repeat'} the one before ${how}${period}`
}
