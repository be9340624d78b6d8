/**
 * Combed frames: two moments woven line by line, in a file that calls itself progressive. Two combed in every five are 24
 * frames pulled down to 30 by fields (2:3); all of them are interlaced pictures.
 *
 * A frame counts as combed when its comb share is far above that of the clip's quiet frames, or above 3 % outright.
 * Pattern: [smpte-rp197] from memory; limits are a choice.
 */
import { quantile, sorted } from '../../core/index.js'
import { percent } from '../words.js'
import { cannotTell, type Finding, rounded } from './finding.js'
import type { Step } from './motion.js'
import { listed, STILL } from './runs.js'

const CODE = 'diagnose.combs'
const METHOD = 'pixels that differ from both lines beside them while those agree'
const MUCH = 0.03

export function combsFinding(steps: readonly Step[], looked: readonly number[]): Finding {
  const moving = steps.filter((s) => (s.one ?? 0) >= STILL)
  if (moving.length < 4) return cannotTell(CODE, 'Too little moves for combs to show.', METHOD, looked)
  const shares = sorted(moving.map((s) => s.comb))
  const quiet = quantile(shares, 0.25)
  const numbers = { quiet: rounded(quiet), most: rounded(quantile(shares, 1)) }
  const limit = Math.max(4 * quiet, 0.004)
  const combed = moving.filter((s) => s.comb > limit)
  const frames = combed.map((s) => s.frame)
  const pulled = isTwoInFive(steps, limit)
  const base = { code: CODE, method: METHOD, numbers }
  if (pulled)
    return {
      ...base,
      verdict: 'fault',
      sentence: `Two frames in every five are woven from two moments (${listed(frames)}): 24 frames pulled down 2:3.`,
      remedy: 'Take the pulldown out to get the 24 whole frames back, and use that file.',
      confidence: 0.9,
      frames,
    }
  if (quiet > MUCH && quiet > 0.3 * quantile(shares, 1))
    return cannotTell(
      CODE,
      `${percent(quiet)} of every moving frame look combed: interlaced, or fine texture and noise.`,
      METHOD,
      looked,
      numbers,
    )
  if (combed.length >= 2 && quantile(shares, 1) > MUCH)
    return {
      ...base,
      verdict: 'fault',
      sentence: `Frames ${listed(frames)} are woven from two moments.`,
      remedy: 'Make whole frames of the fields, or leave these frames out.',
      confidence: 0.7,
      frames,
    }
  return {
    ...base,
    verdict: 'fine',
    sentence: 'No frame is woven from two moments.',
    confidence: 0.7,
    frames: looked,
  }
}

function isTwoInFive(steps: readonly Step[], limit: number): boolean {
  const runs: boolean[][] = []
  for (const s of steps) {
    if (s.one === undefined || runs.length === 0) runs.push([])
    runs.at(-1)?.push(s.comb > limit)
  }
  const whole = runs.filter((r) => r.length >= 10)
  return (
    whole.length > 0 &&
    whole.every((r) => {
      for (let phase = 0; phase < 5; phase++) {
        const agree = r.filter((c, i) => c === (i + phase) % 5 < 2).length
        if (agree >= 0.95 * r.length) return true
      }
      return false
    })
  )
}
