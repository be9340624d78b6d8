import { describe, expect, it } from 'vitest'
import { emissionGain, whiteLuminance } from './model.js'

describe('luminance of diffuse white', () => {
  // ISO 2720, K = 12.5: EV 15 at ISO 100 meters L = 2^15 · 12.5 / 100 = 4096 cd/m², which lands on 18 %.
  it('is 4096 / 0.18 cd/m² at EV 15 and ISO 100', () => {
    expect(whiteLuminance(Math.sqrt(2 ** 15 / 125), 1 / 125, 100)).toBeCloseTo(4096 / 0.18, 6)
    expect(whiteLuminance(16, 256 / 2 ** 15, 100)).toBeCloseTo(4096 / 0.18, 6)
  })

  it('doubles with each stop that the exposure closes', () => {
    const open = whiteLuminance(2.8, 1 / 48, 800)
    expect(whiteLuminance(2.8, 1 / 96, 800)).toBeCloseTo(2 * open, 9)
    expect(whiteLuminance(2.8, 1 / 48, 400)).toBeCloseTo(2 * open, 9)
    expect(whiteLuminance(2.8 * Math.SQRT2, 1 / 48, 800)).toBeCloseTo(2 * open, 9)
  })
})

describe('emission gain', () => {
  it('is 2^stops in every channel at equal temperatures', () => {
    for (const [stops, kelvin] of [
      [0, 1800],
      [3, 1200],
      [-2.5, 6500],
    ] as const) {
      for (const v of emissionGain(stops, kelvin, kelvin, 'bt709')) expect(v).toBeCloseTo(2 ** stops, 12)
    }
  })

  // Black body of 1900 K in BT.709: 1 : .2326 : 0, CIE 1931 (colour-science, `sd_blackbody`); 2856 K is CIE A, xy .44757 .40745.
  it('carries CIE A to the colour of 1900 K', () => {
    const [r, g, b] = emissionGain(0, 1900, 2856, 'bt709')
    const from = bt709(0.44757, 0.40745)
    expect((g * (from[1] as number)) / (r * (from[0] as number))).toBeCloseTo(0.2326, 3)
    // The empty blue is held to 0.004 of luminance: no division by nothing on the way back.
    expect((b * (from[2] as number)) / (r * (from[0] as number))).toBeLessThan(0.003)
    const back = emissionGain(0, 2856, 1900, 'bt709')
    expect(back.every((v) => Number.isFinite(v) && v <= 50)).toBe(true)
    expect(back[0] * r).toBeCloseTo(1, 9)
  })
})

/** Linear BT.709 of a chromaticity at luminance 1; matrix of IEC 61966-2-1. */
function bt709(x: number, y: number): number[] {
  const xyz = [x / y, 1, (1 - x - y) / y]
  return [
    [3.2404542, -1.5371385, -0.4985314],
    [-0.969266, 1.8760108, 0.041556],
    [0.0556434, -0.2040259, 1.0572252],
  ].map((row) => row.reduce((s, v, i) => s + v * (xyz[i] as number), 0))
}
