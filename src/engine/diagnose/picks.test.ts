import { describe, expect, it } from 'vitest'
import type { SourceInfo } from '../../media/index.js'
import { picksOf } from './picks.js'

const info = (frameCount: number, width = 1920, height = 1080) =>
  ({ frameCount, width, height, layout: { float: false, bits: 8 } }) as SourceInfo

describe('which frames are looked at', () => {
  it('all of a short clip, and of any when asked', () => {
    expect(picksOf(info(40), false).runs).toEqual([{ first: 0, count: 40 }])
    expect(picksOf(info(5000), true).runs).toEqual([{ first: 0, count: 5000 }])
  })

  it('runs from head to end of a long one, within the budget', () => {
    const { runs, stills } = picksOf(info(2880), false)
    expect(runs).toHaveLength(3)
    expect(runs[0]?.first).toBe(0)
    expect((runs[2]?.first ?? 0) + (runs[2]?.count ?? 0)).toBe(2880)
    expect(runs.reduce((n, r) => n + r.count, 0)).toBeLessThanOrEqual(80)
    for (const s of stills) expect(runs.some((r) => s >= r.first && s < r.first + r.count)).toBe(true)
  })
})
