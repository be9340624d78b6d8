import { describe, expect, it } from 'vitest'
import { plateau } from './plateau.js'

const SIZE = { width: 60, height: 40 }
const of = (alpha: (x: number, y: number) => number) =>
  Float32Array.from({ length: SIZE.width * SIZE.height }, (_, p) => alpha(p % 60, Math.floor(p / 60)))
const at = (v: Float32Array, x: number, y: number) => v[60 * y + x] as number

describe('what is level below 1', () => {
  it('is whole: spill of a tenth is divided out, and of an edge beside it', () => {
    // An edge of 6 px that ends at 0.9.
    const c = plateau(
      of((x) => 0.9 * Math.min(Math.max((x - 20) / 6, 0), 1)),
      SIZE,
      1,
    )
    expect(at(c, 45, 20)).toBeCloseTo(0.9, 5)
    expect(at(c, 26, 20)).toBeCloseTo(0.9, 5)
  })

  it('is not a veil clearer than 15 %, nor an edge, nor bare ground', () => {
    for (const level of [0.8, 0.5, 0])
      expect(
        at(
          plateau(
            of(() => level),
            SIZE,
            1,
          ),
          30,
          20,
        ),
      ).toBe(1)
    const ramp = plateau(
      of((x) => x / 60),
      SIZE,
      1,
    )
    expect(at(ramp, 30, 20)).toBe(1)
  })

  it('is less than its mean by two of its spreads, so that its noise stays whole', () => {
    // 0.9 and 0.94 in turn: mean 0.92, σ 0.02.
    const c = plateau(
      of((x, y) => ((x + y) % 2 === 0 ? 0.9 : 0.94)),
      SIZE,
      1,
    )
    expect(at(c, 30, 20)).toBeCloseTo(0.88, 3)
  })
})
