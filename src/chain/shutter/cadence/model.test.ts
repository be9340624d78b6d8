import { describe, expect, it } from 'vitest'
import { elementFrame } from './model.js'

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
