/** Pictures of pure noise, mixed as a rate converter does; the pattern follows from the two rates alone. */
import { describe, expect, it } from 'vitest'
import { conversionOf } from './conversion.js'
import type { Step } from './motion.js'

/** Fine detail of each frame of a clip: the mean square of a mixture of independent noises, with some error of its own. */
function steps(weight: (frame: number) => number, count: number, error = 0.02, seed = 1): Step[] {
  let s = seed
  const next = () => {
    s = (Math.imul(s, 1664525) + 1013904223) >>> 0
    return s / 2 ** 32 - 0.5
  }
  return Array.from({ length: count }, (_, frame) => {
    const w = weight(frame) % 1
    const fine = 0.01 * Math.hypot(1 - w, w) * (1 + error * 3.46 * next())
    return { frame, one: frame === 0 ? undefined : 0.01, fine } as Step
  })
}

describe('rates changed by blending', () => {
  it.each([
    [24, 30, 5],
    [30, 24, 4],
    [50, 60, 6],
    [60, 25, 5],
    [24, 25, 25],
  ])('%i to %i has a pattern of %i', (from, to, period) => {
    const found = conversionOf(steps((f) => (f * from) / to, 70))
    expect(found?.period).toBe(period)
    expect(found?.softer).toBeGreaterThan(0.8)
  })

  it('frames that only differ by chance have none', () => {
    for (let seed = 1; seed < 40; seed++)
      for (const error of [0.01, 0.05, 0.2])
        expect(conversionOf(steps(() => 0, 24, error, seed))).toBeUndefined()
  })

  it('nor have the softer frames between the anchors of a codec', () => {
    // Anchor, soft, middling, soft: common practice of codecs that predict both ways.
    const soft = [1, 0.86, 0.93, 0.86]
    const codec = steps(() => 0, 48).map((s, i) => ({ ...s, fine: s.fine * (soft[i % 4] as number) }))
    expect(conversionOf(codec)).toBeUndefined()
    const long = steps(() => 0, 48).map((s, i) => ({ ...s, fine: s.fine * (i % 12 === 0 ? 1.3 : 1) }))
    expect(conversionOf(long)).toBeUndefined()
  })
})
