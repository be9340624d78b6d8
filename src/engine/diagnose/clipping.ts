/**
 * Clipped and crushed shares per channel: a pile of samples at the end of the values that a channel takes.
 *
 *   pile = share within 1/128 of the end ≥ 0.005, and 4 times what the next 8/128 hold on average
 *
 * The end is where the samples stop (a log curve clips below 1). A graphic's white card is a pile too and counts as one, but for
 * colourless mattes and what carries its own alpha. Float samples end nowhere and are not looked at. Common practice.
 */
import type { ColourEncoding } from '../../core/index.js'
import { type Finding, percent, rounded } from './finding.js'
import { codesOf, type Still } from './still.js'

const BINS = 256
const [LOW, HIGH] = [-0.5, 1.5]
/** Share of a channel from which it is a fault: light that is not known any more. */
const MUCH = 0.05

export function clippingFindings(stills: readonly Still[], encoding: ColourEncoding): Finding[] {
  const frames = stills.map((s) => s.frame)
  if (stills[0]?.native.layout.float === true) return []
  const counts = [0, 1, 2].map(() => new Float64Array(BINS))
  let [total, coloured] = [0, 0]
  for (const still of stills) {
    const { data } = codesOf(still, encoding)
    const alpha = still.native.layout.alpha
    for (let i = 0; i < data.length; i += 4) {
      // What nothing covers is not a picture.
      if (alpha && (data[i + 3] as number) < 0.02) continue
      total++
      if (Math.abs((data[i] as number) - (data[i + 1] as number)) > 0.004) coloured++
      for (let c = 0; c < 3; c++) {
        const bin = Math.floor((((data[i + c] as number) - LOW) / (HIGH - LOW)) * BINS)
        const own = counts[c] as Float64Array
        const at = Math.min(Math.max(bin, 0), BINS - 1)
        own[at] = (own[at] as number) + 1
      }
    }
  }
  // A white sprite's colour is no lost light: what its alpha lets through of it is known.
  const matte = stills.some((s) => s.native.layout.alpha)
  const method = 'piles at the ends of each channel'
  const told = (code: string, word: string, shares: readonly number[]): Finding => {
    const most = Math.max(...shares)
    const much = most > MUCH && code === 'diagnose.clipped' && coloured > 0.001 * total && !matte
    return {
      code,
      verdict: much ? 'fault' : 'fine',
      sentence:
        most === 0
          ? `No channel is ${word}.`
          : `${word[0]?.toUpperCase()}${word.slice(1)}: R ${percent(shares[0] ?? 0)}, G ${percent(shares[1] ?? 0)}, B ${percent(shares[2] ?? 0)}.`,
      confidence: 0.8,
      frames,
      method,
      numbers: { shares: shares.map(rounded) },
    }
  }
  return [
    told(
      'diagnose.clipped',
      'clipped',
      counts.map((c) => pile(c.slice().reverse(), total)),
    ),
    told(
      'diagnose.crushed',
      'crushed',
      counts.map((c) => pile(c, total)),
    ),
  ]
}

/** Share of the pile at the low end of `counts`. */
function pile(counts: Float64Array, total: number): number {
  if (total === 0) return 0
  let end = 0
  // A few stray samples beyond the pile are ringing.
  for (let sum = 0; end < BINS; end++) {
    sum += counts[end] as number
    if (sum > 5e-4 * total) break
  }
  const over = (from: number, to: number) => {
    let sum = 0
    for (let i = Math.max(from, 0); i < Math.min(to, BINS); i++) sum += counts[i] as number
    return sum / total
  }
  const share = over(end - 1, end + 2)
  const next = over(end + 2, end + 10) / 4
  return share >= 0.005 && share > 4 * next ? share : 0
}
