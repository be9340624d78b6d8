import { describe, expect, it } from 'vitest'
import { tapsFor } from '../../../kernels/index.js'
import { shrunkGrain } from './shrunk.js'

/** White noise through taps along a line, by its definition, and means over `n` of it; variance and lag 1 of those. */
function trial(taps: readonly number[], n: number): { variance: number; lag1: number } {
  let state = 7
  const normal = () => {
    let sum = -6
    for (let i = 0; i < 12; i++) {
      state = (Math.imul(state, 1664525) + 1013904223) >>> 0
      sum += state / 2 ** 32
    }
    return sum
  }
  const length = 240_000
  const white = Array.from({ length: length + taps.length }, normal)
  const energy = taps.reduce((s, t) => s + t * t, 0)
  const means: number[] = []
  for (let i = 0; i + n <= length; i += n) {
    let sum = 0
    for (let k = i; k < i + n; k++)
      taps.forEach((t, j) => {
        sum += t * (white[k + j] as number)
      })
    means.push(sum / n / Math.sqrt(energy))
  }
  const variance = means.reduce((s, v) => s + v * v, 0) / means.length
  const lag1 = means.slice(1).reduce((s, v, i) => s + v * (means[i] as number), 0) / means.length / variance
  return { variance, lag1 }
}

describe('grain in a smaller picture', () => {
  it('that is white falls with the area and stays white', () => {
    const { variance, correlation } = shrunkGrain({ variance: [4, 8, 12], correlation: [], coarse: [] }, 0.5)
    expect(variance).toEqual([1, 2, 3])
    for (const c of correlation) expect(Math.abs(c)).toBeLessThan(1e-9)
  })

  it.each([2, 3, 4])('that is wide falls by less: noise of the same taps, meant over %i pixels', (n) => {
    const rho = [0.6, 0.25, 0, 0]
    const list = [...rho, ...rho, ...rho]
    const taps = tapsFor(0.6, 0.25)
    const told = trial(taps, n)
    const { variance, correlation } = shrunkGrain(
      { variance: [1, 1, 1], correlation: list, coarse: [] },
      1 / n,
    )
    // Two to three standard errors of the trial.
    expect(Math.abs((variance[0] as number) * n - told.variance)).toBeLessThan(0.02 * told.variance)
    expect(Math.abs((correlation[0] as number) - told.lag1)).toBeLessThan(0.012)
  })

  it('is as it was at full size', () => {
    const given = { variance: [1, 2, 3], correlation: Array(12).fill(0.3), coarse: [0.5, 0.5, 0] }
    const { variance, correlation, coarse } = shrunkGrain(given, 1, 8)
    for (const [i, v] of variance.entries()) expect(v).toBeCloseTo(given.variance[i] as number, 9)
    for (const c of correlation) expect(c).toBeCloseTo(0.3, 2)
    expect(coarse.map((s) => Number(s.toFixed(6)))).toEqual([0.5, 0.5, 0])
  })

  it('that is half blotches 8 px wide keeps nearly all of those at half size', () => {
    // Means of two pixels keep (1 + ρ(1)) / 2 along an axis, ρ(1) = exp(−¾/64) = 0.98835: 0.98839 of both; white noise a quarter.
    const { variance, coarse } = shrunkGrain(
      { variance: [1, 1, 1], correlation: [], coarse: [0.5, 0.5, 0.5] },
      0.5,
      8,
    )
    expect(variance[0]).toBeCloseTo(0.5 / 4 + 0.5 * 0.98839, 4)
    expect(coarse[0]).toBeCloseTo((0.5 * 0.98839) / (0.125 + 0.5 * 0.98839), 4)
  })
})
