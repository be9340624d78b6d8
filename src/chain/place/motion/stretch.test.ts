import { describe, expect, it } from 'vitest'
import { pairsOf } from './fit/pairs.js'
import { stretched, unseenSaid } from './stretch.js'

describe('a stiff motion beyond its points', () => {
  // By hand: four points 30 px from their middle, R = 1.5·30; a place 180 px away: ρ² = 16, off 0.2·14 = 2.8 px.
  const around = [
    [30, 0],
    [-30, 0],
    [0, 30],
    [0, -30],
  ] as const
  const pairs = pairsOf(around.map((p) => [p, p, 0.1] as const))
  const all = new Uint8Array(4).fill(1)

  it('is off by the square of the distance', () => {
    expect(stretched(pairs, all, 0.2, [[180, 0]])).toBeCloseTo(7.84, 10)
    expect(
      stretched(pairs, all, 0.2, [
        [180, 0],
        [0, 0],
      ]),
    ).toBeCloseTo(3.92, 10)
  })

  // By hand: eight at 0 and two 200 px away, the middle at 40, R = 1.5·(8·40 + 2·160)/10 = 96; 3R from it: off 0.2·7 = 1.4 px.
  it('does not reach as far as a few that lie far from the rest', () => {
    const uneven = [...Array<number>(8).fill(0), 200, 200].map((x) => [x, 0] as const)
    const seen = pairsOf(uneven.map((p) => [p, p, 0.1] as const))
    expect(stretched(seen, new Uint8Array(10).fill(1), 0.2, [[-248, 0]])).toBeCloseTo(1.96, 10)
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

  // The same eight and two: m = 40, R = 96, so what lies beyond −152 or 232 is far.
  it('says which ends of an outline lie far from all that is seen', () => {
    const points = [...Array<number>(8).fill(0), 200, 200].map((x) => ({
      from: [x, 0] as const,
      seen: [[0, x, 0, 0.1] as const],
    }))
    const outline = [
      [-160, 0],
      [-140, 0],
      [220, 10],
    ] as const
    expect(unseenSaid(points, outline)).toEqual([
      expect.stringMatching(/within 96 px about 40,0; 1 of 3 .*\(-160,0\)/),
    ])
    expect(unseenSaid(points, outline.slice(1))).toEqual([])
    expect(unseenSaid(points, undefined)).toEqual([])
  })
})
