import { expect, it } from 'vitest'
import { costOf, picksOf } from './picks.js'

const HD = 1920 * 1080
/** Keys every so many frames. */
const keysEvery = (n: number) => (frame: number) => (frame % n) + 1

it('takes five frames from the first to the last where each stands alone', () => {
  expect(picksOf(41, HD, () => 1)).toEqual([0, 10, 20, 30, 40])
  expect(picksOf(3, HD, () => 1)).toEqual([0, 1, 2])
  expect(picksOf(1, HD, () => 1)).toEqual([0])
})

it('goes to the keys near by, and to the end where that is affordable', () => {
  // 0, 60, 120, 179, 239 and 14 to either side: keys at 48, 120, 168; the end lies 23 after the key at 216.
  expect(picksOf(240, HD, keysEvery(24))).toEqual([0, 48, 120, 168, 239])
  expect(costOf([0, 48, 120, 168, 239], keysEvery(24))).toBe(1 + 1 + 1 + 1 + 24)
})

it('never decodes more than 64 frames of 1920×1080, however far the keys lie apart', () => {
  for (const [count, every] of [
    [240, 250],
    [1000, 250],
    [90, 90],
    [5000, 600],
  ] as const) {
    const picks = picksOf(count, HD, keysEvery(every))
    expect(costOf(picks, keysEvery(every))).toBeLessThanOrEqual(64)
    expect(picks[0]).toBe(0)
    expect([...picks].sort((a, b) => a - b)).toEqual(picks)
    expect(picks.length).toBeGreaterThan(1)
  }
})

it('costs what is decoded: from the key, or on from the frame before', () => {
  // Key at 0: frame 10 takes 11 frames, 15 another 5; key at 20: frame 21 takes 2.
  expect(costOf([10, 15, 21], keysEvery(20))).toBe(11 + 5 + 2)
})
