import { expect, it } from 'vitest'
import type { Rgb } from '../core/index.js'
import { askedLuminance } from './clipped.js'

/**
 * Black bodies in BT.709 at luminance 1, through the matrix of IEC 61966-2-1. CIE A: xy .44757 .40745. 2100 K: xy .5160 .4146
 * (Kim and others 2002, cubic fit of the locus, from memory).
 */
const CIE_A: Rgb = [1.845, 0.82609, 0.23328]
const K2100: Rgb = [2.4122, 0.6767, 0.0422]

it('is that of the first whole channel', () => {
  expect(askedLuminance(0.8, 0.35, 0.1, 1, CIE_A)).toBe(0)
  expect(askedLuminance(1, 0.82609, 0.23328, 1, CIE_A)).toBeCloseTo(1, 9)
  expect(askedLuminance(1, 1, 2 * 0.23328, 1, CIE_A)).toBeCloseTo(2, 9)
})

it('is not asked of a channel that the colour hardly holds', () => {
  // A blue of noise must not make the core shine: the answer is what green asks for at least.
  expect(askedLuminance(1, 1, 0.5, 1, K2100)).toBeCloseTo(1 / 0.6767, 3)
})

it('counts a channel as clipped from 0.9 of the ceiling on, and none where there is no ceiling', () => {
  expect(askedLuminance(1.81, 0.5, 0.1, 2, CIE_A)).toBeGreaterThan(0)
  expect(askedLuminance(1.79, 0.5, 0.1, 2, CIE_A)).toBe(0)
  expect(askedLuminance(50, 20, 5, Number.POSITIVE_INFINITY, CIE_A)).toBe(0)
})

// A flame that is hotter where it is brighter: B = 0.1 · G^1.2 by construction, green clipped at 1.
it('reads green beyond the ceiling off blue where its rise is known', () => {
  const rise = { gain: 0.1, power: 1.2 }
  for (const green of [0.95, 1.5, 3, 5]) {
    const blue = 0.1 * green ** 1.2
    expect(askedLuminance(1, 1, blue, 1, K2100, rise)).toBeCloseTo(Math.max(green, 1) / 0.6767, 3)
    expect(askedLuminance(2, 2, 2 * blue, 2, K2100, rise)).toBeCloseTo((2 * Math.max(green, 1)) / 0.6767, 3)
  }
})

it('never falls where more light is in front of the lens, blue clipped too', () => {
  let last = 0
  for (let green = 0.5; green < 40; green += 0.01) {
    const seen = [3, green, 0.1 * green ** 1.2].map((v) => Math.min(v, 1)) as [number, number, number]
    const found = askedLuminance(...seen, 1, K2100, { gain: 0.1, power: 1.2 })
    expect(found).toBeGreaterThanOrEqual(last)
    last = found
  }
})
