import { expect, it } from 'vitest'
import { type Aberration, factorAt, greenOf, linear } from './model.js'

it('finds green again from where red and blue lie, straight or curved, at any radius', () => {
  const unit = 540
  for (const a of [
    linear([1.002, 0.998]),
    [1.0002, 0.9996, -0.0005, 0.0004, 0.0004, -0.0003],
    [1, 1, 0.02, -0.02, -0.01, 0.03],
  ] as Aberration[])
    for (const [x, y] of [
      [0, 0],
      [3, -2],
      [-400, 100],
      [960, 540],
    ] as const) {
      expect(greenOf(a, 1, x, y, unit)).toEqual([x, y])
      for (const c of [0, 1] as const) {
        const k = factorAt(a, c, Math.hypot(x, y) / unit)
        const [u, v] = greenOf(a, c === 0 ? 0 : 2, k * x, k * y, unit)
        expect(Math.hypot(u - x, v - y)).toBeLessThan(1e-8)
      }
    }
})
