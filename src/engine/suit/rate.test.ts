import { describe, expect, it } from 'vitest'
import { lasts, lengthLine } from './length.js'
import { rateLine, retime } from './rate.js'

const r = (num: number, den = 1) => ({ num, den })

describe('retime by the nearest frame', () => {
  it('30 on 24: shows 0 1 3 4 5 6 8 …, every fifth frame never', () => {
    // k(n) = round(1.25 n), halves up: 0 1.25→1 2.5→3 3.75→4 5 6.25→6 7.5→8 8.75→9 10
    const t = retime(r(30), r(24), 1000, 9)
    expect(t.dropped).toEqual([2, 7])
    expect(t.repeated).toEqual([])
    expect(t.judder).toBe(2 / 8)
  })

  it('24 on 30: one frame in four stands twice', () => {
    // k(n) = round(0.8 n): 0 0.8→1 1.6→2 2.4→2 3.2→3 4 4.8→5 5.6→6 6.4→6
    const t = retime(r(24), r(30), 1000, 9)
    expect(t.repeated).toEqual([3, 8])
    expect(t.judder).toBe(2 / 8)
    expect(t.hold).toBe(2)
  })

  it('23.976 on 24 hardly steps', () => {
    const t = retime(r(24000, 1001), r(24), 5000, 1000)
    expect(t.repeated).toHaveLength(1)
    expect(t.judder).toBeLessThan(0.01)
  })
})

describe('the rate line', () => {
  const line = (e: number, p: number) => rateLine(r(e), r(p), 1000, 48)
  it.each([
    [24, 24, 'fine', 'frame for frame'],
    [48, 24, 'fine', 'every 2nd frame'],
    [12, 24, 'poor', 'each frame twice'],
    [8, 24, 'unfit', 'held 3 frames'],
  ] as const)('%d on %d is %s', (e, p, verdict, figure) => {
    expect(line(e, p)).toMatchObject({ verdict, figure })
  })

  it('advises 25 on 24 to be played frame for frame', () => {
    expect(line(25, 24).remedy).toContain('4 % slower')
  })

  it('does not guess a rate that pictures do not carry', () => {
    expect(rateLine(undefined, r(24), 10, 10)).toMatchObject({
      verdict: 'cannot tell',
      remedy: 'tell --rate',
    })
    expect(rateLine(undefined, r(24), 1, 10).verdict).toBe('fine')
  })
})

describe('length', () => {
  it('counts plate frames', () => {
    expect(lasts(r(24), r(24), 48)).toBe(48)
    expect(lasts(r(48), r(24), 48)).toBe(24)
    // round(1.25 n) ≤ 9 up to n = 7 (8.75→9); n = 8 gives 10.
    expect(lasts(r(30), r(24), 10)).toBe(8)
  })

  const even = { first: 0, most: 1, last: 0 }
  const of = (count: number, needed: number | undefined) =>
    lengthLine({ rate: r(24), plateRate: r(24), count }, needed, 100, even)
  it('is judged against what it has to last, and not guessed', () => {
    expect(of(50, 50).verdict).toBe('fine')
    expect(of(45, 50).verdict).toBe('poor')
    expect(of(30, 50).verdict).toBe('unfit')
    expect(of(30, undefined).verdict).toBe('cannot tell')
    expect(of(100, undefined).verdict).toBe('fine')
  })

  it('says when it is cut off at its end', () => {
    const cut = lengthLine({ rate: r(24), plateRate: r(24), count: 50 }, 50, 100, {
      first: 0,
      most: 1,
      last: 0.5,
    })
    expect(cut.why).toContain('cut off at its end')
  })
})
