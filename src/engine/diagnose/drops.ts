/**
 * Frames left out: a step as long as two or more usual ones, alone among even steps.
 *
 *   jump = one / usual one       twice = usual two / usual one: how far two steps carry (pictures saturate, so not always 2)
 *
 * A jump of at least 0.85 of the way from 1 to `twice`, while the steps beside it are usual. Where motion is uneven (a hand-held
 * camera, a runner) such a step may be true: then there is no verdict, unless a step is more than `HARD` times both of those beside
 * it and the picture does not come back: no hand moves a camera for one frame alone. A far longer one amid even steps is a cut.
 * Common practice.
 */
import { median, robustSigma } from '../../core/index.js'
import { cannotTell, type Finding, rounded } from './finding.js'
import type { Step } from './motion.js'
import { listed, type Moved, runsOf, STILL } from './runs.js'

const CODE = 'diagnose.drops'
const METHOD = 'length of each step against one and two usual steps'
/** Relative spread of the usual steps up to which motion is even. */
const EVEN = 0.16
const LEAST = 7
const HARD = 3
/** Change from which a lonely step is a jump of the picture, share of the code range. */
const LARGE = 0.02
/** Way from one usual step to two that a step has gone when a frame is missing. */
const WAY = 0.85

export function dropsFinding(
  steps: readonly Step[],
  repeated: ReadonlySet<number>,
  looked: readonly number[],
): Finding {
  const runs = runsOf(steps).map((r) => r.filter((s) => !repeated.has(s.frame)))
  const jumps: number[] = []
  const cuts: number[] = []
  const hard: number[] = []
  let [even, unevenSteps, still] = [0, 0, 0]
  let widest = 0
  for (const run of runs) {
    if (run.length < LEAST) continue
    hard.push(...hardJumps(run))
    const ones = run.map((s) => s.one)
    const one = median(ones)
    if (one < STILL) {
      still += run.length
      continue
    }
    // Trends (a camera that speeds up) are no unevenness: judge each step by its own neighbours.
    const ratios = run.map((s, i) => s.one / local(run, i))
    const spread = robustSigma(ratios)
    const twice = median(run.flatMap((s) => (s.two === undefined ? [] : [s.two / s.one])))
    if (spread > EVEN || twice < 1.2) {
      unevenSteps += run.length
      continue
    }
    even += run.length
    run.forEach((s, i) => {
      const ratio = ratios[i] as number
      if (ratio < 1 + Math.max(WAY * (twice - 1), 5 * spread)) return
      const beside = [ratios[i - 1], ratios[i + 1]].filter((v) => v !== undefined)
      if (beside.length === 0 || beside.some((v) => v > 1 + 0.35 * (twice - 1))) return
      // Across a cut the steps on either side need not even be alike, and the picture changes as a whole.
      if (s.one > 8 * one) cuts.push(s.frame)
      else jumps.push(s.frame)
      widest = Math.max(widest, ratio)
    })
  }
  const numbers = { evenSteps: even, unevenSteps, stillSteps: still, longest: rounded(widest), cuts, hard }
  if (jumps.length > 0)
    return {
      code: CODE,
      verdict: 'fault',
      sentence: `The motion jumps at ${jumps.length === 1 ? 'frame' : 'frames'} ${listed(jumps)}: one or more frames were left out before ${jumps.length === 1 ? 'it' : 'them'}.`,
      remedy:
        'Ask for the file with all its frames, or begin or end the effect at the jump, where nobody follows the motion.',
      // One alone may be a jolt of the hand.
      confidence: jumps.length > 1 ? 0.7 : 0.6,
      frames: jumps,
      method: METHOD,
      numbers,
    }
  if (hard.length > 0)
    return {
      code: CODE,
      verdict: 'fault',
      sentence: `The picture jumps hard at ${hard.length === 1 ? 'frame' : 'frames'} ${listed(hard)}, between steps that are far smaller: a cut, a change of lens, a knock, or frames left out.`,
      remedy:
        'Look at the frames on both sides: at a cut split the shot in two, for lost frames ask for the file again.',
      confidence: 0.7,
      frames: hard,
      method: METHOD,
      numbers,
    }
  if (even === 0)
    return cannotTell(
      CODE,
      unevenSteps > 0
        ? 'The motion is too uneven to tell a lost frame from a quick move.'
        : still > 0
          ? 'Nothing moves: a lost frame would not show.'
          : 'There are too few frames to see how they follow.',
      METHOD,
      looked,
      numbers,
    )
  return {
    code: CODE,
    verdict: 'fine',
    sentence: 'The motion has no jumps.',
    confidence: 0.7,
    frames: looked,
    method: METHOD,
    numbers,
  }
}

/** Steps that stand out from both beside them, after which the picture stays where it went. */
function hardJumps(run: readonly Moved[]): number[] {
  return run.flatMap((s, i) => {
    const [last, next] = [run[i - 1], run[i + 1]]
    if (last === undefined || next === undefined || s.one < LARGE) return []
    const lonely = s.one > HARD * Math.max(last.one, next.one)
    return lonely && (next.two ?? 0) > 0.6 * s.one ? [s.frame] : []
  })
}

function local(run: readonly Moved[], i: number): number {
  const near: number[] = []
  for (let k = Math.max(0, i - 4); k <= Math.min(run.length - 1, i + 4); k++)
    if (k !== i) near.push((run[k] as Moved).one)
  return Math.max(median(near), 1e-6)
}
