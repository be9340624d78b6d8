/** Gradients made here: in stairs, in stairs under noise, as fine as the format can, and in a codec's blocks. */
import { describe, expect, it } from 'vitest'
import { allocateFrame, type PixelLayout } from '../../core/index.js'
import { bandingFinding } from './banding.js'

const layout = (bits: number): PixelLayout => ({
  family: 'yuv',
  bits,
  float: false,
  subX: 1,
  subY: 1,
  alpha: false,
})
const [W, H] = [480, 270]

function picture(bits: number, code: (x: number, y: number) => number) {
  const native = allocateFrame(layout(bits), W, H)
  const data = native.planes[0]?.data as Uint8Array | Uint16Array
  for (let i = 0; i < data.length; i++) data[i] = Math.round(code(i % W, Math.floor(i / W)))
  return bandingFinding([{ frame: 0, native }])
}

/** Repeatable noise, σ = 1 (sum of twelve uniforms). */
function normal(): () => number {
  let s = 1
  const next = () => {
    s = (Math.imul(s, 1664525) + 1013904223) >>> 0
    return s / 2 ** 32
  }
  return () => Array.from({ length: 12 }, next).reduce((a, b) => a + b, -6)
}

/** From 60 to 100 over the picture's width, tilted. */
const ramp = (x: number, y: number) => 60 + (40 * (x + 0.3 * y)) / W

describe('banding', () => {
  it.each([2, 3, 5])('steps of %i codes are found, and how high they are', (step) => {
    const found = picture(8, (x, y) => step * Math.round(ramp(x, y) / step))
    expect(found.verdict).toBe('fault')
    expect(found.numbers.step).toBeCloseTo(step, 0)
  })

  it('steps of eight bits show in ten', () => {
    const found = picture(10, (x, y) => 4 * Math.round(ramp(x, y)))
    expect(found.verdict).toBe('fault')
    expect(found.numbers.step).toBeCloseTo(1, 1)
  })

  it('a camera that has noise of half a code has none', () => {
    const n = normal()
    expect(picture(8, (x, y) => ramp(x, y) + 0.5 * n()).verdict).toBe('fine')
    expect(picture(10, (x, y) => 4 * (ramp(x, y) + 0.5 * n())).verdict).toBe('fine')
  })

  it('a smooth gradient of ten bits has none', () => {
    expect(picture(10, (x, y) => 4 * ramp(x, y)).verdict).toBe('fine')
  })

  it('the flat blocks of a codec are none', () => {
    const found = picture(8, (x, y) => 2 * Math.round(ramp(x - (x % 8), y - (y % 8)) / 2))
    expect(found.verdict).toBe('cannot tell')
  })
})
