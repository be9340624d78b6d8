import { expect, it } from 'vitest'
import { BIN, type Profile } from '../../../../kernels/index.js'
import { borneOut, ratiosOf, reblurSize } from './reblur.js'
import { edgeSpread } from './spread.js'

const ACROSS = 8
const s = Float64Array.from({ length: (2 * ACROSS) / BIN }, (_, i) => (i + 0.5) * BIN - ACROSS)
const profile = (of: (s: number) => number): Profile => ({ s, value: s.map(of) })

/** Abramowitz & Stegun 7.1.26. */
function erf(x: number): number {
  const t = 1 / (1 + 0.3275911 * Math.abs(x))
  const poly = ((((1.061405429 * t - 1.453152027) * t + 1.421413741) * t - 0.284496736) * t + 0.254829592) * t
  return Math.sign(x) * (1 - poly * Math.exp(-x * x))
}
const gaussian = (sigma: number) => (d: number) => 0.5 * (1 + erf(d / (sigma * Math.SQRT2)))
/** Area of a circle up to a chord. */
const disc = (radius: number) => (d: number) => {
  const part = Math.min(Math.max(d / radius, -1), 1)
  return 0.5 + (part * Math.sqrt(1 - part * part) + Math.asin(part)) / Math.PI
}
const family = (shape: 'disc' | 'gaussian') =>
  Array.from({ length: 18 }, (_, i) => edgeSpread(shape, 1.09 ** i, 0.01, ACROSS + 2))

it('a Gaussian edge falls by √(1 + σ₀² / σ²) [zhuo2011], σ that of the slope and the edge together', () => {
  const [narrow, again] = [ACROSS / 8, ACROSS / 4]
  for (const { size, ratio } of ratiosOf(ACROSS, family('gaussian')).filter((r) => r.size < 2.2)) {
    const before = narrow ** 2 + size ** 2
    // The profile ends at 8 px, where the wider slope still has 0.2 % of its weight.
    expect(ratio / Math.sqrt(1 + again ** 2 / before)).toBeCloseTo(1, 1)
  }
})

it('says of an edge how it was blurred, wherever its middle lies, and whatever its height', () => {
  for (const radius of [1.3, 2, 3.1]) {
    const ratios = ratiosOf(ACROSS, family('disc'))
    for (const shift of [0, 0.4, -0.9]) {
      const found = reblurSize(
        profile((d) => 0.2 + 0.3 * disc(radius)(d - shift)),
        ACROSS,
        ratios,
      )
      expect(Math.abs(found / radius - 1)).toBeLessThan(0.06)
    }
  }
  for (const sigma of [1.3, 2]) {
    const found = reblurSize(profile(gaussian(sigma)), ACROSS, ratiosOf(ACROSS, family('gaussian')))
    expect(Math.abs(found / sigma - 1)).toBeLessThan(0.02)
  }
})

it('says that an edge is softer than it tells, and takes a sharpened one for sharper', () => {
  const ratios = ratiosOf(ACROSS, family('disc'))
  expect(
    reblurSize(
      profile((d) => 0.5 + 0.05 * d),
      ACROSS,
      ratios,
    ),
  ).toBe(Number.POSITIVE_INFINITY)
  const sharpened = (d: number) => disc(3)(d) + (disc(3)(d) - gaussian(2.7)(d))
  expect(reblurSize(profile(sharpened), ACROSS, ratios)).toBeLessThan(2.8)
})

it('bears out what lies within two spreads of both', () => {
  // 2 · √(0.3² + 0.4²) = 1.
  const of = (radius: number, spread: number) => ({ radius, spread })
  expect(borneOut(of(3, 0.3), of(3.9, 0.4))).toBe(true)
  expect(borneOut(of(3, 0.3), of(1.9, 0.4))).toBe(false)
  expect(borneOut(of(3, 0.3), of(Number.POSITIVE_INFINITY, 0.4))).toBeUndefined()
})
