import { describe, expect, it } from 'vitest'
import { uniform } from '../../core/index.js'
import { immerkaer } from './immerkaer.js'

describe("Immerkær's estimate", () => {
  it('of a ±1 checkerboard is 3.34217103 (√(π/2)·16/6, Immerkær 1996)', () => {
    const plane = Float32Array.from({ length: 64 * 48 }, (_, i) =>
      ((i % 64) + Math.floor(i / 64)) % 2 ? 1 : -1,
    )
    expect(immerkaer(plane, 64, 48)).toBeCloseTo(3.34217103, 6)
  })

  it('sees a ramp as silence and noise of σ = 5 on it to 2 %', () => {
    const ramp = Float32Array.from({ length: 512 * 512 }, (_, i) => (i % 512) / 4 + Math.floor(i / 512) / 8)
    expect(immerkaer(ramp, 512, 512)).toBe(0)
    const noisy = ramp.map((v, i) => {
      // Box and Muller 1958.
      const u = 1 - uniform(1, 0, i, 0, 0)
      return v + 5 * Math.sqrt(-2 * Math.log(u)) * Math.cos(2 * Math.PI * uniform(1, 0, i, 0, 1))
    })
    expect(Math.abs(immerkaer(noisy, 512, 512) / 5 - 1)).toBeLessThan(0.02)
  })

  it('needs 3 × 3', () => {
    expect(immerkaer(new Float32Array(9), 3, 3)).toBe(0)
    expect(() => immerkaer(new Float32Array(6), 2, 3)).toThrow('needs a neighbour')
  })
})
