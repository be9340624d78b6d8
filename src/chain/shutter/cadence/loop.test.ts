import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { loopPictures } from './loop.js'
import { elementFrame, firstShown, shownPictures } from './model.js'

const told = (loop: Parameters<typeof loopPictures>[0], trim: number, last: number) =>
  Array.from({ length: last - trim + 1 }, (_, i) => loopPictures(loop, trim + i, trim))

describe('a loop', () => {
  it('crosses in from before its first picture, so that a round is as long as the loop', () => {
    // By hand: plays 0 to 7, then 8 and 9 with 2 and 3 beneath, and goes on at 4: six pictures a round.
    const shown = told({ first: 4, count: 6, cross: 2 }, 0, 16)
    expect(shown.map((s) => s.frame)).toEqual([0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 4, 5, 6, 7, 8, 9, 4])
    expect(shown.flatMap((s, k) => (s.into ? [[k, s.into.frame, s.into.share]] : []))).toEqual([
      [8, 2, 1 / 3],
      [9, 3, 2 / 3],
      [14, 2, 1 / 3],
      [15, 3, 2 / 3],
    ])
  })

  it('crosses into its own first pictures where the file has none before', () => {
    // Plays 0 to 3, then 4 and 5 with 0 and 1 beneath, and goes on at 2.
    const shown = told({ first: 0, count: 6, cross: 2 }, 0, 9)
    expect(shown.map((s) => s.frame)).toEqual([0, 1, 2, 3, 4, 5, 2, 3, 4, 5])
    expect(shown.map((s) => s.into?.frame)).toEqual([...Array(4), 0, 1, ...Array(2), 0, 1])
  })

  it('without a crossing jumps from picture to picture', () => {
    expect(told({ first: 2, count: 3, cross: 0 }, 1, 9).map((s) => s.frame)).toEqual([
      1, 2, 3, 4, 2, 3, 4, 2, 3,
    ])
  })

  const any = fc
    .record({
      first: fc.nat(20),
      count: fc.integer({ min: 2, max: 40 }),
      seed: fc.option(fc.nat(), { nil: undefined }),
    })
    .chain((l) => fc.nat(Math.floor(l.count / 2)).map((cross) => ({ ...l, cross })))

  it('shows nothing but its own pictures, each the next one of the last or crossed into', () => {
    fc.assert(
      fc.property(any, fc.nat(10), (loop, trim) => {
        fc.pre(trim <= loop.first)
        let before = loopPictures(loop, trim, trim)
        for (let k = trim + 1; k < trim + 300; k++) {
          const now = loopPictures(loop, k, trim)
          expect(now.frame).toBeGreaterThanOrEqual(trim)
          expect(now.frame).toBeLessThan(loop.first + loop.count)
          const goesOn = now.frame === before.frame + 1
          const crossedOver = before.into !== undefined && now.frame === before.into.frame + 1
          if (loop.cross > 0) expect(goesOn || crossedOver).toBe(true)
          if (now.into !== undefined && before.into !== undefined && goesOn) {
            expect(now.into.frame).toBe(before.into.frame + 1)
            expect(now.into.share).toBeGreaterThan(before.into.share)
          }
          before = now
        }
      }),
      { numRuns: 200 },
    )
  })

  it('with a seed begins each round at another picture than the last, the same on every run', () => {
    const loop = { first: 10, count: 40, cross: 6, seed: 3 }
    const begins = told(loop, 0, 900).flatMap((s) => (s.into && s.into.share === 1 / 7 ? [s.into.frame] : []))
    expect(begins.length).toBeGreaterThan(20)
    for (const [i, b] of begins.entries()) expect(b).not.toBe(begins[i - 1])
    expect(new Set(begins).size).toBeGreaterThan(8)
    const again = told(loop, 0, 900).flatMap((s) => (s.into && s.into.share === 1 / 7 ? [s.into.frame] : []))
    expect(again).toEqual(begins)
    expect(told({ ...loop, seed: 4 }, 0, 900)).not.toEqual(told(loop, 0, 900))
  })
})

describe("an element's own time", () => {
  const c = {
    ...{ startFrame: 5, trimFrames: 2, count: 10 },
    ...{ element: { num: 24, den: 1 }, plate: { num: 24, den: 1 } },
  }

  it('goes faster or slower in whole pictures', () => {
    // 2 + round(2 i), 2 + round(0.4 i), a half up.
    expect([5, 6, 7, 8].map((n) => elementFrame({ ...c, speed: 2 }, n))).toEqual([2, 4, 6, 8])
    expect([5, 6, 7, 8, 9, 10].map((n) => elementFrame({ ...c, speed: 0.4 }, n))).toEqual([2, 2, 3, 3, 4, 4])
    for (let n = 5; n < 9; n++) expect(shownPictures({ ...c, speed: 0.4 }, n)?.into).toBeUndefined()
  })

  it('holds its first picture from the beginning of the shot, its last one to the end', () => {
    const at = (hold: 'first' | 'last' | 'both', n: number) => elementFrame({ ...c, hold }, n)
    expect([at('first', 0), at('first', 5), at('first', 13)]).toEqual([2, 2, undefined])
    expect([at('last', 0), at('last', 12), at('last', 99)]).toEqual([undefined, 9, 9])
    expect([at('both', 0), at('both', 99)]).toEqual([2, 9])
    expect([firstShown(c), firstShown({ ...c, hold: 'both' }), firstShown({ startFrame: -3 })]).toEqual([
      5, 0, 0,
    ])
  })
})
