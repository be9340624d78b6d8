import { expect, it } from 'vitest'
import { openSeconds, streakLength } from '../angle/model.js'
import { rowDelay } from '../readout/model.js'
import { grainKept } from './model.js'

// Arithmetic of the turning shutter (common practice): 24 frames at 180° are 1/48 s, 172.8° is 1/50, 144° is 1/60; 25 at 180° are 20 ms.
it('an angle is a time, and a way is a length', () => {
  expect(1000 * openSeconds(180, 24)).toBeCloseTo(20.8333, 4)
  expect(openSeconds(172.8, 24)).toBeCloseTo(1 / 50, 12)
  expect(openSeconds(144, 24)).toBeCloseTo(1 / 60, 12)
  expect(openSeconds(180, 25)).toBeCloseTo(0.02, 12)
  expect(streakLength(40, 180)).toBe(20)
})

// 1000 px/s, 15.5 ms: 15.5 px over the full height, 0.411° on 2160 rows (v·tᵣ·Δ/H by hand).
it('a readout is a skew', () => {
  const skew = 1000 * rowDelay({ seconds: 0.0155, rows: 2160 }, 2160, 0)
  expect(skew).toBeCloseTo(15.5, 9)
  expect((Math.atan(skew / 2160) * 180) / Math.PI).toBeCloseTo(0.411, 3)
})

// Of independent grain: ∫ (box ∗ tent)², summed here step by step.
it('an exposure leaves so much of the grain', () => {
  for (const L of [2, 5, 20]) {
    const h = 1e-3
    const tent = (x: number) => Math.max(1 - Math.abs(x), 0)
    let sum = 0
    for (let x = -L; x < L; x += 0.02) {
      let w = 0
      for (let u = Math.max(-L / 2, x - 1); u < Math.min(L / 2, x + 1); u += h)
        w += (tent(x - u - h / 2) * h) / L
      sum += w * w * 0.02
    }
    expect(grainKept(L)).toBeCloseTo(sum, 2)
  }
  expect(grainKept(0)).toBe(1)
})
