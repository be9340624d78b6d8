import { describe, expect, it } from 'vitest'
import { planckRgb, planckXy, temperatureOf } from './planck.js'
import { luminanceRow } from './primaries.js'

describe('black body', () => {
  it('has the chromaticity that colour-science 0.4.6 integrates at 1 nm (CIE 1931 2°)', () => {
    const table: Record<number, [number, number]> = {
      1000: [0.65275, 0.34446],
      1500: [0.58572, 0.39312],
      1900: [0.53778, 0.4112],
      2000: [0.52668, 0.4133],
      2500: [0.477, 0.41368],
      2856: [0.44754, 0.40743],
      3200: [0.42336, 0.39895],
      4000: [0.38044, 0.37675],
      5600: [0.3302, 0.33908],
      6500: [0.31353, 0.32363],
      10000: [0.28063, 0.28829],
    }
    for (const [kelvin, [x, y]] of Object.entries(table)) {
      const xy = planckXy(Number(kelvin))
      expect(Math.abs(xy[0] - x)).toBeLessThan(2e-4)
      expect(Math.abs(xy[1] - y)).toBeLessThan(2e-4)
    }
  })

  it('is 1 : 0.2326 : 0 in BT.709 at 1900 K (colour-science 0.4.6), luminance 1', () => {
    const [r, g, b] = planckRgb(1900, 'bt709')
    expect(g / r).toBeCloseTo(0.2326, 3)
    expect(b / r).toBeLessThan(0.002)
    const row = luminanceRow('bt709')
    expect(row[0] * r + row[1] * g + row[2] * b).toBeCloseTo(1, 12)
    expect(planckRgb(1000, 'bt709')[2]).toBe(0)
  })

  it.each(['bt709', 'bt2020', 'p3-d65', 'aces-ap1'] as const)('%s: a temperature comes back', (primaries) => {
    for (const kelvin of [1000, 1500, 1900, 2856, 4000, 6500, 12000, 20000]) {
      expect(Math.abs(temperatureOf(planckRgb(kelvin, primaries), primaries) / kelvin - 1)).toBeLessThan(1e-4)
    }
  })

  it('is held to the ends, and unknown without light', () => {
    expect(temperatureOf([1, 0, 0], 'bt709')).toBeCloseTo(1000, 0)
    expect(temperatureOf([0.1, 1, 5], 'bt709')).toBeCloseTo(20000, 0)
    expect(temperatureOf([0, 1, 5], 'bt709')).toBe(20000)
    expect(temperatureOf([0, 0, 0], 'bt709')).toBeNaN()
  })
})
