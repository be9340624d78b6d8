import { describe, expect, it } from 'vitest'
import { pairsOf } from './fit/pairs.js'
import { stretched } from './stretch.js'

describe('a stiff motion beyond its points', () => {
  // By hand: four points 30 px from their middle, R = √2·30; a place 120 px away: ρ² = 14400 / 1800 = 8, off 0.2·6.5 = 1.3 px.
  const around = [
    [30, 0],
    [-30, 0],
    [0, 30],
    [0, -30],
  ] as const
  const pairs = pairsOf(around.map((p) => [p, p, 0.1] as const))
  const all = new Uint8Array(4).fill(1)

  it('is off by the square of the distance', () => {
    expect(stretched(pairs, all, 0.2, [[120, 0]])).toBeCloseTo(1.69, 10)
    expect(
      stretched(pairs, all, 0.2, [
        [120, 0],
        [0, 0],
      ]),
    ).toBeCloseTo(0.845, 10)
  })

  it('is as sure as it is among them, and says nothing without any', () => {
    expect(
      stretched(pairs, all, 0.2, [
        [40, 0],
        [-20, 20],
      ]),
    ).toBe(0)
    expect(stretched(pairs, new Uint8Array(4), 0.2, [[120, 0]])).toBe(0)
  })
})
