import { describe, expect, it } from 'vitest'
import { elementFrame, shownPictures } from './model.js'

const cadence = (element: number, plate: number, den = 1) => ({
  startFrame: 0,
  trimFrames: 0,
  element: { num: element, den },
  plate: { num: plate, den },
  count: 1000,
})

describe('cadence', () => {
  it('takes the frame nearest in time', () => {
    // 30 into 24: times 0, 1.25, 2.5, 3.75, 5 element frames; a half goes up.
    expect([0, 1, 2, 3, 4].map((n) => elementFrame(cadence(30, 24), n))).toEqual([0, 1, 3, 4, 5])
    // 24 into 30: 0, 0.8, 1.6, 2.4, 3.2, 4.
    expect([0, 1, 2, 3, 4, 5].map((n) => elementFrame(cadence(24, 30), n))).toEqual([0, 1, 2, 2, 3, 4])
  })

  // 24 into 30 rounded down, n · 24/30: 0 0 1 2 3 4 4 5 6 7, by hand.
  it('holds each picture until the next is due', () => {
    const shown = (element: number, plate: number, count: number) =>
      Array.from({ length: count }, (_, n) =>
        elementFrame({ ...cadence(element, plate), conform: 'held' }, n),
      )
    expect(shown(24, 30, 10)).toEqual([0, 0, 1, 2, 3, 4, 4, 5, 6, 7])
    // A pulldown of 24 to 60: three and two by turns, and so it stays; at its own rate a file keeps what it holds.
    expect(shown(24, 60, 10)).toEqual([0, 0, 0, 1, 1, 2, 2, 2, 3, 3])
    expect(shown(60, 60, 5)).toEqual([0, 1, 2, 3, 4])
  })

  it('blends two pictures by how near they are in time', () => {
    const c = { ...cadence(24, 30), conform: 'blend' as const, count: 4 }
    const at = (n: number) => shownPictures(c, n)
    expect(at(0)).toEqual({ frame: 0 })
    expect(at(1)?.frame).toBe(0)
    expect(at(1)?.into?.frame).toBe(1)
    expect(at(1)?.into?.share).toBeCloseTo(0.8, 12)
    expect(at(2)?.into?.share).toBeCloseTo(0.6, 12)
    // Nothing follows the last one.
    expect(at(4)).toEqual({ frame: 3 })
  })

  it('does not drift over an hour of 24000/1001', () => {
    const c = { ...cadence(24000, 24000, 1001), count: 1e6 }
    expect(elementFrame(c, 86_313)).toBe(86_313)
  })

  it('holds no picture where that is said', () => {
    const c = { ...cadence(24, 24), startFrame: 5, count: 1 }
    expect([4, 5, 6].map((n) => elementFrame({ ...c, hold: 'last' }, n))).toEqual([undefined, 0, 0])
    expect([4, 5, 6].map((n) => elementFrame({ ...c, hold: 'none' }, n))).toEqual([undefined, 0, undefined])
  })

  it('shows nothing before the start and after the end, and honours the trim', () => {
    const c = { ...cadence(24, 24), startFrame: 5, trimFrames: 2, count: 10 }
    expect(elementFrame(c, 4)).toBeUndefined()
    expect(elementFrame(c, 5)).toBe(2)
    expect(elementFrame(c, 12)).toBe(9)
    expect(elementFrame(c, 13)).toBeUndefined()
  })
})
