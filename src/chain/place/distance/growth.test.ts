import { expect, it } from 'vitest'
import type { Span, Way2 } from '../slide/model.js'
import { compareGrowth } from './growth.js'

/** A camera goes from 6 m to 4 m in 24 frames: what stands there comes to 1.5 times its width. */
const distance = (n: number) => 6 - (2 * n) / 24
const spans = [0, 12].map((first): Span => {
  const frames = Array.from({ length: 13 }, (_, k) => first + k)
  const still = frames.map((): Way2 => [0, 0])
  const growth = frames.map((n) => distance(first) / distance(n))
  return { frames, grounds: [{ off: still, way: still, spread: 0.05, growth, growthSd: 0.001 }] }
})
const look = { name: 'crate', spans, regionAt: () => ({ x: 0, y: 0, width: 10, height: 10 }), quiet: false }

it('keeps silent of one that grows as its ground, and says how both grew', () => {
  const c = compareGrowth({ ...look, widthAt: (n) => 600 / distance(n) })
  expect(c.verdicts).toEqual([])
  expect(c.measured.growth?.[0]).toBeCloseTo(1, 12)
})

it('speaks of one that keeps its size, from where it is 15 % too small', () => {
  const [v] = compareGrowth({ ...look, widthAt: () => 100 }).verdicts
  expect(v).toMatchObject({ tell: 'wrong-size', measured: 1, unit: '×' })
  expect(v?.expected).toBeCloseTo(1.5, 12)
  expect(v?.sentence).toBe('crate does not grow as what it stands on: by frame 24 it is 50 % too small.')
  // 6/1.15 = 5.217 m: between frames 9 and 10.
  expect(v?.frames[0]).toBe(10)
})

it('is quiet where another tell names the cause, and not sure beyond its own error', () => {
  expect(compareGrowth({ ...look, widthAt: () => 100, quiet: true }).verdicts).toEqual([])
  const rough = spans.map((s) => ({ ...s, grounds: s.grounds.map((g) => ({ ...g, growthSd: 0.3 })) }))
  expect(compareGrowth({ ...look, spans: rough, widthAt: () => 100 }).verdicts).toEqual([])
})
