/**
 * Clipped and crushed shares per channel: a pile of samples at the end of the values that a channel takes.
 *
 *   pile = share within 1/128 of the end ≥ 0.005, and 4 times what the next 8/128 hold on average
 *
 * The end is where the samples stop (a log curve clips below 1). A graphic's white card is a pile too and counts as one, but for
 * colourless mattes and what carries its own alpha. Float samples have no end of their own: they are looked at in 32nds of a stop,
 * where a ceiling that the camera or an earlier file set shows as the same kind of pile. Common practice.
 */
import type { ColourEncoding } from '../../core/index.js'
import { percent } from '../words.js'
import { type Finding, rounded } from './finding.js'
import { codesOf, type Still } from './still.js'

interface Scale {
  readonly bins: number
  readonly bin: (v: number) => number
  /** Value at a bin's middle. */
  readonly value: (bin: number) => number
}

/** Codes from −0.5 to 1.5; light from 2⁻²⁰ (and all below) to 2¹⁸. */
const codeScale: Scale = {
  bins: 256,
  bin: (v) => (v + 0.5) * 128,
  value: (b) => (b + 0.5) / 128 - 0.5,
}
const lightScale: Scale = {
  bins: 38 * 32,
  bin: (v) => (v > 2 ** -20 ? (Math.log2(v) + 20) * 32 : 0),
  value: (b) => 2 ** ((b + 0.5) / 32 - 20),
}
/** Share of a channel from which it is a fault: light that is not known any more. */
const MUCH = 0.05
const REMEDY =
  'Ask for a version with its lights kept (the log or raw file, a lower exposure); else keep what burns out small, or before something as bright.'

export function clippingFindings(stills: readonly Still[], encoding: ColourEncoding): Finding[] {
  const frames = stills.map((s) => s.frame)
  const float = stills[0]?.native.layout.float === true
  const { bins, bin, value } = float ? lightScale : codeScale
  const counts = [0, 1, 2].map(() => new Float64Array(bins))
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
        const v = data[i + c] as number
        const own = counts[c] as Float64Array
        if (!Number.isFinite(v)) continue
        const at = Math.min(Math.max(Math.floor(bin(v)), 0), bins - 1)
        own[at] = (own[at] as number) + 1
      }
    }
  }
  // A white sprite's colour is no lost light: what its alpha lets through of it is known.
  const matte = stills.some((s) => s.native.layout.alpha)
  const method = float ? 'samples piled at the greatest and least value' : 'piles at the ends of each channel'
  const told = (word: 'clipped' | 'crushed', piles: readonly Pile[]): Finding => {
    const shares = piles.map((p) => p.share)
    const most = Math.max(...shares)
    const top = word === 'clipped'
    const much = most > MUCH && top && coloured > 0.001 * total && !matte
    const percents = shares.map((v, c) => `${'RGB'[c]} ${percent(v)}`).join(', ')
    const ceiling = piles.map((p) => (p.share === 0 ? 0 : value(bins - 1 - p.at)))
    return {
      code: `diagnose.${word}`,
      ...(much ? { verdict: 'fault' as const, remedy: REMEDY } : { verdict: 'fine' as const }),
      sentence:
        most === 0
          ? `No channel is ${word}${float ? ': no ceiling or floor shows in its light' : ''}.`
          : `${float ? lightWords(percents, top, Math.max(...ceiling), much) : `${percents} of its samples ${top ? `stand at the top: ${topWords(much, most, matte)}` : 'stand at the bottom: black, of which no more is known'}`}.`,
      confidence: float ? 0.7 : 0.8,
      frames,
      method,
      numbers: {
        shares: shares.map(rounded),
        ...(float && top && most > 0 ? { ceiling: ceiling.map(rounded) } : {}),
      },
    }
  }
  return [
    told(
      'clipped',
      counts.map((c) => {
        const found = pile(c.slice().reverse(), total)
        return float && !isReached(c, bins - 1 - found.at) ? { ...found, share: 0 } : found
      }),
    ),
    told(
      'crushed',
      counts.map((c) => pile(c, total)),
    ),
  ]
}

/** Why codes at the top are a fault or none. */
function topWords(lost: boolean, share: number, alpha: boolean): string {
  if (lost) return 'what was brighter is lost'
  if (share <= MUCH) return `lost lights, but few (from ${percent(MUCH)} of a channel on they are a fault)`
  if (alpha) return 'white under an alpha, which tells how much of it shows: nothing is lost'
  return 'a drawing or a matte without colour, whose white is meant'
}

/** A pile in light alone proves no loss: where it stands, and what it may mean. */
function lightWords(percents: string, top: boolean, light: number, lost: boolean): string {
  if (!top) return `${percents} of its samples are black or below`
  const stops = Math.log2(light)
  const where =
    Math.abs(stops) < 0.05
      ? 'at diffuse white'
      : `${Math.abs(stops).toFixed(1)} stops ${stops > 0 ? 'above' : 'below'} diffuse white`
  return lost
    ? `Clipped: ${percents} ${where}: a ceiling, and what was brighter is lost`
    : `${percents} of its samples pile up ${where}: nothing is lost there unless it is one flat plateau, as a sensor that was full leaves it`
}

/** Light of many levels leads up to a ceiling; a drawn picture only has its few colours. Looks at the stop below bin `top`. */
function isReached(counts: Float64Array, top: number): boolean {
  let filled = 0
  for (let b = top - 34; b < top - 2; b++) if ((counts[b] ?? 0) > 0) filled++
  return filled >= 8
}

interface Pile {
  readonly share: number
  /** Bin that it lies in. */
  readonly at: number
}

/** The pile at the low end of `counts`; a share of 0 where there is none. */
function pile(counts: Float64Array, total: number): Pile {
  if (total === 0) return { share: 0, at: 0 }
  let end = 0
  // A few stray samples beyond the pile are ringing.
  for (let sum = 0; end < counts.length; end++) {
    sum += counts[end] as number
    if (sum > 5e-4 * total) break
  }
  const over = (from: number, to: number) => {
    let sum = 0
    for (let i = Math.max(from, 0); i < Math.min(to, counts.length); i++) sum += counts[i] as number
    return sum / total
  }
  const share = over(end - 1, end + 2)
  const next = over(end + 2, end + 10) / 4
  return { share: share >= 0.005 && share > 4 * next ? share : 0, at: end }
}
