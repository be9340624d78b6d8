import { describe, expect, it } from 'vitest'
import { uniform } from '../../core/index.js'
import { polarSpectrum, SECTORS } from './polar.js'

describe('polarSpectrum', () => {
  // Parseval: the mean of |FFT|²/N of white noise is its variance. Uniform over one step: 1/12.
  it('of white noise is its variance at every frequency and in every direction', () => {
    for (const [width, height] of [
      [128, 128],
      [200, 90],
    ] as const) {
      const values = Float64Array.from({ length: width * height }, (_, i) => uniform(5, 0, i, 0, 0))
      const { power, looks, rings } = polarSpectrum({ width, height, values })
      for (const [from, to] of [
        [3, rings >> 1],
        [rings >> 1, rings],
      ] as const) {
        let [sum, weight] = [0, 0]
        for (let s = 0; s < SECTORS; s++) {
          for (let r = from; r < to; r++) {
            sum += power[s * rings + r] * looks[s * rings + r]
            weight += looks[s * rings + r]
          }
        }
        // Four standard deviations of a mean of so many independent looks.
        expect(Math.abs(12 * (sum / weight) - 1)).toBeLessThan(4 / Math.sqrt(weight))
      }
    }
  })

  it('of a wave lies at its frequency and in its direction', () => {
    const [width, height] = [128, 96]
    const [u, v] = [0.2, 0.1]
    const values = Float64Array.from({ length: width * height }, (_, i) =>
      Math.cos(2 * Math.PI * (u * (i % width) + v * Math.floor(i / width))),
    )
    const { power, rings, step } = polarSpectrum({ width, height, values })
    const most = power.indexOf(Math.max(...power))
    expect(((most % rings) + 1) * step).toBeCloseTo(Math.hypot(u, v), 2)
    const sector = Math.floor((Math.atan2(v, u) / Math.PI + 0.5) * SECTORS)
    expect(Math.floor(most / rings)).toBe(sector)
  })
})
