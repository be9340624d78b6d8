import { describe, expect, it } from 'vitest'
import { normal } from '../../../../test/worlds/chance.js'
import { astrayOutwards, astraySaid } from './astray.js'
import { solveMotion } from './solve.js'

describe('what goes another way than the rest', () => {
  // By hand: half of it 3 px off, the rest within 0.3 px: 1 + 9 / 0.09 = 101 times the variance, and 9 px².
  it('widens the spread as errors of the motion would', () => {
    const one = new Map([[1, { frame: 1, share: 0.5, rmsPx: 3 }]])
    const wide = astrayOutwards([0, 0.04, 0.01], [0, 0.3, 0.3], one, 0)
    expect(wide[1]).toBeCloseTo(13.04, 10)
    // Beyond that frame it is no less.
    expect(wide[2]).toBe(wide[1])
  })

  it('is taken for mistakes below a quarter', () => {
    const few = [{ frame: 1, share: 0.2, rmsPx: 30 }]
    expect(astrayOutwards([0, 0.04], [0, 0.3], new Map([[1, few[0]!]]), 0)).toEqual([0, 0])
    expect(astraySaid(few)).toEqual([])
  })

  it('loses a region of two depths, and says why', () => {
    const places = Array.from({ length: 20 }, (_, i) => [40 * (i % 5), 30 * Math.floor(i / 5)] as const)
    const points = places.map(([x, y], i) => ({
      from: [x, y] as const,
      seen: Array.from({ length: 10 }, (_, f) => {
        const err = (c: number) => (f === 0 ? 0 : 0.1 * normal(7, f, i, c))
        return [f, x + 2 * f + err(0), y + err(1), 0.1] as const
      }),
    }))
    const seen = { reference: 0, frames: { first: 0, count: 10 }, points }
    const astray = [6, 7].map((frame) => ({ frame, share: 0.6, rmsPx: 5 }))
    const states = (s: typeof seen & { astray?: typeof astray }) => solveMotion(s).frames.map((f) => f.state)
    expect(states(seen).every((s) => s === 'tracked')).toBe(true)
    expect(states({ ...seen, astray })).toEqual([...Array(6).fill('tracked'), ...Array(4).fill('lost')])
    expect(solveMotion({ ...seen, astray }).said.join()).toContain('On 2 frames (most on 6) up to 60 %')
  })
})
