import { describe, expect, it } from 'vitest'
import { jumpsIn } from './jumps.js'

/** Corners of a box about the middle that is `size` times as large, moved aside. */
const box = (size: number, aside = 0) =>
  Float64Array.from(
    [-300, -200, 300, -200, 300, 200, -300, 200].map((v, i) => v * size + (i % 2 ? 0 : aside)),
  )
const heard = (path: Float64Array[]) =>
  jumpsIn(
    path,
    path.map(() => 0.1),
    new Set(),
  ).map((j) => j.at)
const tremor = (f: number) => 0.3 * Math.sin(2.1 * f)

describe('jumps', () => {
  it('are heard on a hand-held shot, on the frame after them', () => {
    const path = Array.from({ length: 40 }, (_, f) => box(1, tremor(f) + (f >= 17 ? 12 : 0)))
    expect(heard(path)).toEqual([17])
  })

  it('are not a zoom that sets off fast, is fastest in its middle, and ends', () => {
    const zoomed = (f: number) => {
      const t = Math.min(Math.max((f - 15) / 8, 0), 1)
      return 1 + 0.8 * t * t * (3 - 2 * t)
    }
    const path = Array.from({ length: 40 }, (_, f) => box(zoomed(f), tremor(f)))
    expect(heard(path)).toEqual([])
  })
})
