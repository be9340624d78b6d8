/**
 * One distance from several ways: inverse variance of what is each way's own; what they share of the focal length is added after,
 * since no number of ways takes it away.
 *
 *   D = Σ wᵢ Dᵢ / Σ wᵢ      wᵢ = 1 / ownᵢ²      sd² = 1 / Σ wᵢ + (Σ wᵢ sharedᵢ / Σ wᵢ)²
 *
 * Two ways that are APART standard deviations from each other cannot both be right, and nothing here says which is.
 * Source: common practice of measurement (weighted mean).
 */
import { confidenceOf, type Reading, type Told, told } from '../../../core/index.js'
import type { Length } from './ways.js'

/** By chance alone one pair in 370 lies so far apart. */
const APART = 3

/** @param ways by what they are called in a sentence: `ground`, `known object` */
export function combine(ways: Readonly<Record<string, Reading<Length>>>): Reading<Length> {
  const found = Object.entries(ways).filter((w): w is [string, Told<Length>] => told(w[1]))
  const first = found[0]
  if (first === undefined) {
    const why = Object.entries(ways).map(([name, r]) => `${name}: ${told(r) ? '' : r.cannotTell}`)
    return { cannotTell: why.join('; ') || 'nothing that tells a distance is known' }
  }
  if (found.length === 1) return first[1]
  for (const [i, [nameA, { value: a }]] of found.entries()) {
    for (const [nameB, { value: b }] of found.slice(i + 1)) {
      const apart = Math.abs(a.metres - b.metres) / Math.sqrt(ownVariance(a) + ownVariance(b))
      if (apart > APART)
        return { cannotTell: `${nameA} says ${words(a)}, ${nameB} says ${words(b)}: one of them is wrong` }
    }
  }
  const weights = found.map(([, { value }]) => 1 / ownVariance(value))
  const all = weights.reduce((sum, w) => sum + w, 0)
  const mean = (of: (l: Length) => number) =>
    found.reduce((sum, [, r], i) => sum + (weights[i] as number) * of(r.value), 0) / all
  const shared = mean((l) => l.shared)
  const sd = Math.sqrt(1 / all + shared * shared)
  return {
    value: { metres: mean((l) => l.metres), sd, shared },
    evidence: {
      kind: 'derived',
      formula: 'mean by inverse variance',
      inputs: {
        ...Object.fromEntries(found.map(([name, r]) => [name, [r.value.metres, r.value.sd]])),
        sdM: sd,
      },
      confidence: Math.max(...found.map(([, r]) => confidenceOf(r.evidence))),
    },
  }
}

/** `12.3 ± 0.4 m` */
export function words({ metres, sd }: Pick<Length, 'metres' | 'sd'>): string {
  const digits = Math.min(Math.max(1 - Math.floor(Math.log10(Math.max(sd, 1e-3))), 0), 3)
  return `${metres.toFixed(digits)} ± ${sd.toFixed(digits)} m`
}

function ownVariance({ sd, shared, metres }: Length): number {
  // A way without error would silence all others.
  return Math.max(sd * sd - shared * shared, (1e-6 * metres) ** 2)
}
