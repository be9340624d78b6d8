import { describe, expect, it } from 'vitest'
import { transferOf } from './transfer.js'

/** First zeros of J₁ over π (Abramowitz & Stegun table 9.5: 3.83171, 7.01559, 10.17347). */
const ZEROS = [1.21967, 2.233131, 3.238315]

describe('transferOf', () => {
  it('a disc leaves nothing where the published rings lie, in any direction', () => {
    const r = 20
    const disc = transferOf('disc', r)
    for (const turn of [0, 0.3, Math.PI / 4]) {
      for (const zero of ZEROS) {
        const f = zero / (2 * r)
        expect(Math.abs(disc(f * Math.cos(turn), f * Math.sin(turn)))).toBeLessThan(0.003)
      }
      // Between the first two the ideal disc has −0.1323 at 2πrf = 5.1356, the lowest of 2·J₁(x)/x.
      const f = 5.1356 / (2 * Math.PI * r)
      expect(disc(f * Math.cos(turn), f * Math.sin(turn))).toBeCloseTo(-0.1323, 2)
    }
    expect(disc(0, 0)).toBeCloseTo(1, 9)
  })

  // Half of the contrast is left at 0.187391/σ cycles a pixel: the Gaussian's MTF50.
  it('a Gaussian leaves half where its formula says', () => {
    expect(transferOf('gaussian', 2)(0.187391 / 2, 0)).toBeCloseTo(0.5, 5)
  })
})
