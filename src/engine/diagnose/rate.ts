/**
 * Whether a movie's frames come at a constant rate, by their timestamps. Frames of an uneven rate are conformed to an even one:
 * some are shown twice, some left out. A fault from one in 250 frames on, every ten seconds of a film: a choice. Less is `fine`,
 * and the frames are named.
 */
import type { SourceInfo } from '../../media/index.js'
import type { Finding } from './finding.js'
import { listed } from './runs.js'

const MANY = 1 / 250

/** None of numbered pictures, which carry no times, nor where the rate was given. */
export function rateFindings({ kind, rate, rateEvidence, conform, frameCount }: SourceInfo): Finding[] {
  if (kind !== 'movie' || frameCount < 2 || rateEvidence.kind !== 'measured') return []
  const { repeated, dropped } = conform
  const base = {
    code: 'diagnose.rate',
    method: rateEvidence.method,
    confidence: 0.95,
    frames: repeated,
    numbers: { shownTwice: repeated.length, leftOut: dropped.length },
  }
  const uneven = repeated.length + dropped.length
  const shown = `${rate.num}/${rate.den}`
  if (uneven === 0)
    return [{ ...base, verdict: 'fine', sentence: `Its frames come at a constant rate, ${shown}.` }]
  const parts = [
    ...(repeated.length === 0 ? [] : [`${repeated.length} shown twice (${listed(repeated)})`]),
    ...(dropped.length === 0 ? [] : [`${dropped.length} left out (of the file's own: ${listed(dropped)})`]),
  ]
  const sentence = `The frames do not come at a constant rate; to keep ${shown}, ${parts.join(' and ')}.`
  const numbers = { ...base.numbers, code: 'media.variable-rate' }
  if (uneven < MANY * frameCount) return [{ ...base, numbers, verdict: 'fine', sentence }]
  return [
    {
      ...base,
      numbers,
      verdict: 'fault',
      sentence,
      remedy:
        'Motion stutters there. Record or transcode at a constant rate, or keep these frames out of the shot.',
    },
  ]
}
