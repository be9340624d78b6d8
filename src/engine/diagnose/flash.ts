/** Loudest flash: the largest rise of a frame's mean light over the frame before, in stops. */
import { cannotTell, type Finding, rounded } from './finding.js'
import type { Step } from './motion.js'

const CODE = 'diagnose.flash'
const METHOD = 'mean light of successive frames'
/** So dark that a rise in stops means nothing. */
const DARK = 1e-3

export function flashFinding(steps: readonly Step[], looked: readonly number[]): Finding {
  let best: { frame: number; stops: number } | undefined
  steps.forEach((s, i) => {
    const last = steps[i - 1]
    if (last === undefined || last.frame !== s.frame - 1) return
    const stops = Math.log2((s.light + DARK) / (last.light + DARK))
    if (best === undefined || stops > best.stops) best = { frame: s.frame, stops }
  })
  const found = best as { frame: number; stops: number } | undefined
  if (found === undefined)
    return cannotTell(CODE, 'There is only one frame at each place looked at.', METHOD, looked)
  return {
    code: CODE,
    verdict: 'fine',
    sentence:
      found.stops < 0.1
        ? 'Nothing flashes.'
        : `The loudest flash is frame ${found.frame}: ${found.stops.toFixed(1)} stops over the frame before.`,
    confidence: 0.9,
    frames: [found.frame],
    method: METHOD,
    numbers: { stops: rounded(found.stops) },
  }
}
