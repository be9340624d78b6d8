import { describe, expect, it } from 'vitest'
import { scoreOf } from './score.js'
import { judge, short, worst } from './verdict.js'

describe('verdict and worth', () => {
  const limits = { fine: 1, poor: 2 }
  it.each([
    // By hand from the formulas at the head of verdict.ts.
    [0, 'fine', 1],
    [1, 'fine', 0.9],
    [1.5, 'poor', 0.7],
    [2, 'poor', 0.5],
    [4, 'unfit', 0.25],
    [1000, 'unfit', 0.05],
  ] as const)('%d is %s', (value, verdict, worth) => {
    const judged = judge(value, limits)
    expect(judged.verdict).toBe(verdict)
    expect(judged.worth).toBeCloseTo(worth, 12)
  })

  it('takes the worst; what cannot be told is worse than fine only', () => {
    expect(worst([])).toBe('fine')
    expect(worst(['fine', 'cannot tell'])).toBe('cannot tell')
    expect(worst(['cannot tell', 'poor', 'fine'])).toBe('poor')
    expect(worst(['unfit', 'poor'])).toBe('unfit')
  })

  it('writes figures short', () => {
    expect([0.01234, 1.236, 12.34, 1234.5].map(short)).toEqual(['0.012', '1.24', '12.3', '1235'])
  })
})

describe('score', () => {
  it('is a weighted product: one bad fault sinks it', () => {
    expect(scoreOf([])).toBe(100)
    expect(
      scoreOf([
        { name: 'size', worth: 0.5 },
        { name: 'border', worth: 0.5 },
      ]),
    ).toBeCloseTo(25, 10)
    // 0.5^0.4 = 0.757858…
    expect(scoreOf([{ name: 'bit depth', worth: 0.5 }])).toBeCloseTo(75.7858, 3)
  })
})
