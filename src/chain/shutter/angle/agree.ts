/**
 * One angle from several streaks of a plate: those that agree with their median, weighed by how well each is known.
 *
 *   θ = Σ θᵢ/σᵢ² / Σ 1/σᵢ²      σ = max(least σᵢ, √(Σ (θᵢ − θ)² / (n·(n − 1))))
 *
 * The least, for what the meter itself is off does not average out. A part is looked at on both frames between which its motion is
 * known: what speeds up smears less on the one and more on the other, and their mean is that of the motion between them. Where fewer
 * than two parts or frames agree, or too many do not, what was measured was no streak of one shutter. Source: means of unequal
 * weight, common practice.
 */
import { type Evidence, median, type Reading, told } from '../../../core/index.js'

/** Spreads that two readings of one angle may lie apart. */
const APART = 3
/** Of all that are told: a choice. */
const MOST = 2 / 3
/** Share by which a motion can change from frame to frame: what one frame alone is unsure by half of. */
const SPEEDS_UP = 0.15

/** A part on the first and on the second frame of a motion. */
export type OnBoth = readonly [Reading<number>, Reading<number>]

interface Angle {
  readonly value: number
  readonly spread: number
  readonly both: boolean
  readonly evidence: Measured
}

type Measured = Extract<Evidence, { kind: 'measured' }>

/** @param parts readings of `measureAngle`, ° */
export function agreedAngle(parts: readonly OnBoth[]): Reading<number> {
  const all = parts.flatMap(ofPart)
  if (all.length === 0) {
    const reasons = parts.flat().flatMap((r) => (told(r) ? [] : [r.cannotTell]))
    return { cannotTell: commonest(reasons) ?? 'nothing moves in it' }
  }
  const middle = median(all.map((r) => r.value))
  const agree = all.filter((r) => Math.abs(r.value - middle) <= APART * r.spread)
  if (all.length === 1 && !all[0]?.both)
    return { cannotTell: 'a streak shows in one place of one frame alone' }
  if (agree.length < MOST * all.length) {
    const values = all.map((r) => r.value)
    return {
      cannotTell: `its streaks do not agree: ${Math.min(...values).toFixed(0)}° to ${Math.max(...values).toFixed(0)}°`,
    }
  }
  const weights = agree.map((r) => 1 / r.spread ** 2)
  const whole = weights.reduce((a, b) => a + b)
  const value = agree.reduce((sum, r, i) => sum + r.value * (weights[i] as number), 0) / whole
  const scatter = agree.reduce((sum, r) => sum + (r.value - value) ** 2, 0)
  const apart = Math.sqrt(scatter / Math.max(agree.length * (agree.length - 1), 1))
  const spread = Math.max(apart, Math.min(...agree.map((r) => r.spread)))
  const frames = [...new Set(agree.flatMap((r) => r.evidence.frames))].sort((a, b) => a - b)
  return { value, evidence: { ...(agree[0] as Angle).evidence, frames, spread } }
}

/** Without its region: there are several. */
function ofPart(readings: OnBoth): Angle[] {
  const seen = readings.flatMap((r) => {
    if (!told(r)) return []
    const { region: _, ...evidence } = r.evidence as Measured
    return [{ value: r.value, spread: evidence.spread ?? Number.POSITIVE_INFINITY, evidence }]
  })
  const [a, b] = seen
  if (a === undefined) return []
  if (b === undefined) return [{ ...a, spread: Math.hypot(a.spread, (SPEEDS_UP / 2) * a.value), both: false }]
  if (Math.abs(a.value - b.value) > SPEEDS_UP * a.value + APART * (a.spread + b.spread)) return []
  return [{ ...a, value: (a.value + b.value) / 2, spread: (a.spread + b.spread) / 2, both: true }]
}

function commonest(reasons: readonly string[]): string | undefined {
  const count = (r: string) => reasons.filter((o) => o === r).length
  return reasons.toSorted((a, b) => count(b) - count(a))[0]
}
