import { describe, expect, it } from 'vitest'
import { normal } from '../../../../test/worlds/chance.js'
import { astrayOutwards, astraySaid } from './astray.js'
import { solveMotion } from './solve.js'
import { unevenSaid } from './uneven.js'

describe('what goes another way than the rest', () => {
  // By hand: half of it 3 px off, the rest within 0.3 px: 1 + 9 / 0.09 = 101 times the variance, and 9 px².
  it('widens the spread as errors of the motion would', () => {
    const one = new Map([1, 2, 3].map((frame) => [frame, { frame, share: 0.5, rmsPx: 3 }]))
    const wide = astrayOutwards([0, 0.04, 0.04, 0.04, 0.01], [0, 0.3, 0.3, 0.3, 0.3], one, 0)
    expect(wide[1]).toBeCloseTo(13.04, 10)
    // Beyond those frames it is no less.
    expect(wide[4]).toBe(wide[1])
  })

  it('is a mistake on a frame or two', () => {
    const odd = new Map([4, 5].map((frame) => [frame, { frame, share: 0.5, rmsPx: 30 }]))
    expect(astrayOutwards(Array(10).fill(0.04), Array(10).fill(0.3), odd, 0)).toEqual(Array(10).fill(0))
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
    const astray = [5, 6, 7].map((frame) => ({ frame, share: 0.6, rmsPx: 5 }))
    const states = (s: typeof seen & { astray?: typeof astray }) => solveMotion(s).frames.map((f) => f.state)
    expect(states(seen).every((s) => s === 'tracked')).toBe(true)
    expect(states({ ...seen, astray })).toEqual([...Array(5).fill('tracked'), ...Array(5).fill('lost')])
    expect(solveMotion({ ...seen, astray }).said.join()).toContain('On 3 frames (most on 5) up to 60 %')
  })

  it('is put right by hand without a tear on the frames beside', () => {
    const shifted = Array.from({ length: 30 }, (_, f) => f)
    const points = [0, 100, 200]
      .flatMap((x) => [0, 80].map((y) => [x, y] as const))
      .map((from) => ({
        from,
        seen: shifted.slice(1).map((f) => [f, from[0] + f, from[1], 0.05] as const),
      }))
    const astray = shifted.slice(8).map((frame) => ({ frame, share: 0.6, rmsPx: 6 }))
    const seen = { reference: 0, frames: { first: 0, count: 30 }, points, astray }
    const corrections = [{ frame: 20, from: [100, 40] as const, to: [128, 40] as const }]
    const { frames } = solveMotion({ ...seen, corrections })
    const x = (f: number) => frames[f]!.matrix[2] - f
    expect(frames[20]!.state).toBe('corrected')
    expect(x(20)).toBeCloseTo(8, 6)
    // By hand: a twelfth of 8 px less on each frame further.
    for (const [f, by] of [
      [19, 1],
      [21, 1],
      [14, 6],
      [26, 6],
    ] as const)
      expect(x(f)).toBeCloseTo(8 - (by * 8) / 12, 6)
    expect(frames[19]!.spreadPx).toBeLessThan(frames[10]!.spreadPx)
  })
})

describe('a camera whose picture does not go as one', () => {
  const off = (frame: number, worstPx: number) => ({ frame, rmsPx: 0.6, worst: [40, 700] as const, worstPx })
  const places = [0, 100, 200, 300].flatMap((x) => [0, 100, 200].map((y) => [x, y] as const))
  const points = places.map((from) => ({
    from,
    seen: [1, 2, 3, 4].map((f) => [f, from[0] + f, from[1], 0.05] as const),
  }))
  const seen = { reference: 0, frames: { first: 0, count: 5 }, points }

  it('is known no better than that, and says where', () => {
    const solved = solveMotion({ ...seen, uneven: [2, 3, 4].map((f) => off(f, f)) })
    expect(solved.frames[1]!.spreadPx).toBeLessThan(0.1)
    expect(solved.frames[3]!.spreadPx).toBeGreaterThan(0.6)
    expect(solved.said.join()).toContain('4.0 px about 40,700 on frame 4')
  })

  it('says nothing of small parts of a pixel, or of a frame or two', () => {
    expect(unevenSaid([1, 2, 3, 4].map((f) => off(f, 0.9)))).toEqual([])
    expect(unevenSaid([1, 2].map((f) => off(f, 3)))).toEqual([])
  })
})
