import { describe, expect, it } from 'vitest'
import { slopesOf } from './slope.js'

const [W, H] = [24, 18]
const luma = Float32Array.from({ length: W * H }, (_, p) => (p % W < 12 ? 60 : 180))
const plane = (of: (p: number) => number) => ({
  ...{ width: W, height: H },
  data: Uint8Array.from({ length: W * H }, (_, p) => of(p)),
})
const at = (v: Float32Array | undefined, x: number, y: number) => v?.[y * W + x]

describe('how chroma goes with luma', () => {
  it('is the slope of the line between two colours that meet, of each plane its own', () => {
    const blue = plane((p) => (p % W < 12 ? 130 : 70))
    const red = plane((p) => (p % W < 12 ? 100 : 124))
    const [a, b] = slopesOf(luma, [blue, red], 255)
    // (70 − 130) / 120 and 24 / 120.
    expect(at(a, 12, 9)).toBeCloseTo(-0.5, 2)
    expect(at(b, 12, 9)).toBeCloseTo(0.2, 2)
  })

  it('is none where luma is even, whatever chroma does', () => {
    const [a] = slopesOf(luma, [plane((p) => 100 + (p % 7))], 255)
    expect(at(a, 4, 9)).toBe(0)
  })
})
