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

  it('runs start where decoding can, when that is near enough', () => {
    const tenSeconds = (frame: number) => (frame % 240) + 1
    const oneEntry = (frame: number) => frame + 1
    expect(picksOf(info(2880), false, tenSeconds).runs.map((r) => r.first)).toEqual([0, 1200, 2640])
    // What lies far behind the only entry is left to --all.
    expect(picksOf(info(2880), false, oneEntry).runs).toEqual([{ first: 0, count: 72 }])
    // Unless the pictures are small.
    expect(picksOf(info(2880, 320, 180), false, oneEntry).runs.map((r) => r.first)).toEqual([0, 1414, 2827])
  })
})
