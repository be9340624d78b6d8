import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { conform } from './timeline.js'

const steps = (n: number, step: number) => Array.from({ length: n }, (_, i) => i * step)
const rounded = (times: number[], tick: number) => times.map((t) => Math.round(t / tick) * tick)

describe('rate from timestamps', () => {
  it('tells neighbouring usual rates apart in a clip of a few seconds', () => {
    for (const [num, den] of [
      [24, 1],
      [24000, 1001],
      [25, 1],
      [30, 1],
      [30000, 1001],
      [60000, 1001],
    ]) {
      const t = conform(rounded(steps(240, den / num), 0.001), den / num, [])
      expect(t.rate).toEqual({ num, den })
      expect(t.repeated.length + t.dropped.length).toBe(0)
    }
  })

  it('stays constant over an hour of rounded timestamps', () => {
    const t = conform(rounded(steps(86_314, 1001 / 24000), 0.001), 1001 / 24000, [])
    expect(t).toMatchObject({ rate: { num: 24000, den: 1001 }, repeated: [], dropped: [] })
  })

  it("takes the container's exact rate where no usual one fits", () => {
    const t = conform(steps(2000, 1001 / 29000), 1001 / 29000, [{ num: 29000, den: 1001 }])
    expect(t).toMatchObject({ rate: { num: 29000, den: 1001 }, repeated: [], dropped: [] })
  })

  it('shows each conformed frame the nearest source frame, whatever the steps', () => {
    fc.assert(
      fc.property(fc.array(fc.integer({ min: 1, max: 200 }), { minLength: 1, maxLength: 40 }), (gaps) => {
        const times = [0]
        for (const g of gaps) times.push((times[times.length - 1] as number) + g / 1000)
        const t = conform(times, 0.033, [])
        const usedOnce = new Set(t.map)
        expect(t.repeated.length).toBe(t.map.length - usedOnce.size)
        expect(t.dropped.length).toBe(times.length - usedOnce.size)
        if (t.repeated.length + t.dropped.length === 0) return
        for (const [j, i] of t.map.entries()) {
          const at = (j * t.rate.den) / t.rate.num
          const best = Math.min(...times.map((x) => Math.abs(x - at)))
          expect(Math.abs(times[i] - at)).toBeLessThanOrEqual(best + 1e-9)
        }
      }),
      { numRuns: 200, seed: 1 },
    )
  })

  it('gives one frame for one frame', () => {
    expect(conform([0], 0.04, []).map).toEqual(Uint32Array.of(0))
  })
})
