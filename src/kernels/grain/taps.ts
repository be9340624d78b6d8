/**
 * Symmetric taps whose filtered white noise has given correlations at one and two pixels.
 *
 *   ρ_k = Σ h_i h_(i+k) / Σ h_i²
 *
 * Start: h is the zero-phase root of the spectrum 1 + 2ρ₁cos ω + 2ρ₂cos 2ω (negative parts cut), seven taps kept.
 * Then a pattern search over the three free taps makes ρ₁ and ρ₂ as near as they come, with a light pull of ρ₃ to
 * ρ₆ to 0 so that nothing is invented beyond what was measured. Some pairs cannot be reached by any noise (ρ₁ = 0.9
 * with ρ₂ = 0): the nearest is given.
 *
 * Source: common practice (spectral factorisation).
 */
const REACH = 3
const PULL = 1e-4

/** At most seven taps, the middle one 1; `[1]` when both correlations are 0. */
export function tapsFor(lag1: number, lag2: number): number[] {
  if (lag1 === 0 && lag2 === 0) return [1]
  const taps = Float64Array.from(symmetric(start(lag1, lag2)))
  let best = miss(taps, lag1, lag2)
  for (let step = 0.25; step > 1e-7; ) {
    let moved = false
    for (let i = 0; i < REACH; i++) {
      for (const by of [step, -step]) {
        const was = taps[REACH + 1 + i] as number
        setPair(taps, i, was + by)
        const now = miss(taps, lag1, lag2)
        if (now < best) {
          best = now
          moved = true
        } else setPair(taps, i, was)
      }
    }
    if (!moved) step /= 2
  }
  return Array.from(taps)
}

/** Taps 1, 2, 3 beside a middle of 1. */
function start(lag1: number, lag2: number): number[] {
  const steps = 256
  const h = [0, 0, 0, 0]
  for (let i = 0; i < steps; i++) {
    const w = (Math.PI * (i + 0.5)) / steps
    const root = Math.sqrt(Math.max(1 + 2 * lag1 * Math.cos(w) + 2 * lag2 * Math.cos(2 * w), 0))
    for (let k = 0; k <= REACH; k++) h[k] += root * Math.cos(k * w)
  }
  return [h[1] / h[0], h[2] / h[0], h[3] / h[0]]
}

function symmetric(half: readonly number[]): number[] {
  return [...half.toReversed(), 1, ...half]
}

/** The taps to either side of the middle. @param i 0 for those next to it */
function setPair(taps: Float64Array, i: number, value: number): void {
  taps[REACH - 1 - i] = value
  taps[REACH + 1 + i] = value
}

function miss(taps: Float64Array, lag1: number, lag2: number): number {
  const energy = correlate(taps, 0)
  let sum = (correlate(taps, 1) / energy - lag1) ** 2 + (correlate(taps, 2) / energy - lag2) ** 2
  for (let k = 3; k <= 6; k++) sum += PULL * (correlate(taps, k) / energy) ** 2
  return sum
}

function correlate(taps: Float64Array, lag: number): number {
  let sum = 0
  for (let i = 0; i + lag < taps.length; i++) sum += taps[i]! * taps[i + lag]!
  return sum
}
