/** Painted edges whose place and width are known: straight ones at several angles, and a disc. */
import { describe, expect, it } from 'vitest'
import { withEdges } from './apply.js'

const [W, H] = [64, 48]
const size = { width: W, height: H }

/** Bare right of a line at `place` px from the picture's middle, turned by `degrees`; it rises evenly over `width` px. */
function painted(degrees: number, place: number, width: number): Float32Array {
  const [c, s] = [Math.cos((degrees * Math.PI) / 180), Math.sin((degrees * Math.PI) / 180)]
  return Float32Array.from({ length: W * H }, (_, p) => {
    let sum = 0
    // The mean over the pixel's area.
    for (let k = 0; k < 64; k++) {
      const [x, y] = [
        (p % W) + ((k % 8) + 0.5) / 8 - W / 2,
        Math.floor(p / W) + (Math.floor(k / 8) + 0.5) / 8 - H / 2,
      ]
      sum += Math.min(Math.max((place - (c * x + s * y)) / Math.max(width, 1e-6) + 0.5, 0), 1)
    }
    return sum / 64
  })
}

/** Place and width of the edge across the picture's middle, along its normal: its area, and 6 ∫ α(1 − α). */
function measured(alpha: Float32Array, degrees: number): { place: number; width: number } {
  const [c, s] = [Math.cos((degrees * Math.PI) / 180), Math.sin((degrees * Math.PI) / 180)]
  let [area, spread] = [0, 0]
  const lines = [-6, -4.7, -3.1, -1.4, 0, 1.3, 2.9, 4.2, 6]
  for (const off of lines)
    for (let d = -18; d < 18; d += 0.1) {
      const [x, y] = [W / 2 + c * d - s * off - 0.5, H / 2 + s * d + c * off - 0.5]
      const [i, j] = [Math.floor(x), Math.floor(y)]
      const at = (u: number, v: number) => alpha[(j + v) * W + i + u]!
      const a =
        (1 - (y - j)) * ((1 - (x - i)) * at(0, 0) + (x - i) * at(1, 0)) +
        (y - j) * ((1 - (x - i)) * at(0, 1) + (x - i) * at(1, 1))
      area += (0.1 * a) / lines.length
      spread += (0.1 * 6 * a * (1 - a)) / lines.length
    }
  return { place: area - 18, width: spread }
}

describe('an edge', () => {
  it.each([0, 17, 45, 90, 152])('goes as many pixels outward as it is told, at %i°', (degrees) => {
    for (const width of [0, 5])
      for (const out of [-3.3, -0.4, 0.25, 2, 4.5]) {
        const edge = painted(degrees, 0.3, width)
        const [was, is] = [edge, withEdges(edge, size, { out, wider: 0 })].map((a) => measured(a, degrees))
        expect(Math.abs(is!.place - was!.place - out)).toBeLessThan(0.1)
        // Drawn straight between pixels, a hard edge becomes a part of a pixel softer.
        expect(Math.abs(is!.width - was!.width)).toBeLessThan(width === 0 ? 0.75 : 0.3)
      }
  })

  it.each([0, 30, 90])(
    'becomes as many pixels wider or narrower, and stays where it is, at %i°',
    (degrees) => {
      for (const [width, wider] of [
        [5, 3],
        [5, -3],
        [8, -5.5],
        [3, 6.5],
      ] as const) {
        const edge = painted(degrees, -0.2, width)
        const [was, is] = [edge, withEdges(edge, size, { out: 0, wider })].map((a) => measured(a, degrees))
        expect(Math.abs(is!.width - was!.width - wider)).toBeLessThan(0.5)
        expect(Math.abs(is!.place - was!.place)).toBeLessThan(0.1)
      }
    },
  )

  it('does both at once, and becomes hard where it is told to become narrower than it is', () => {
    const edge = painted(20, 0, 6)
    const both = measured(withEdges(edge, size, { out: 1.5, wider: 2 }), 20)
    const was = measured(edge, 20)
    expect(both.place - was.place).toBeCloseTo(1.5, 1)
    expect(both.width - was.width).toBeCloseTo(2, 0)
    const hard = measured(withEdges(edge, size, { out: 0, wider: -20 }), 20)
    expect(hard.width).toBeLessThan(1.6)
    expect(Math.abs(hard.place - was.place)).toBeLessThan(0.1)
  })

  it('leaves what is bare or whole exactly so, and is the same picture where nothing is asked', () => {
    const edge = painted(0, 0, 4)
    const made = withEdges(edge, size, { out: 2, wider: 3 })
    for (let p = 0; p < made.length; p++) {
      if (p % W < 20) expect(made[p]).toBe(1)
      if (p % W > 45) expect(made[p]).toBe(0)
    }
    expect(withEdges(edge, size, { out: 0, wider: 0 })).toBe(edge)
  })

  it('of a disc goes outward all around: its area is that of a disc so much larger', () => {
    const disc = Float32Array.from({ length: W * H }, (_, p) => {
      const far = Math.hypot((p % W) + 0.5 - W / 2, Math.floor(p / W) + 0.5 - H / 2)
      return Math.min(Math.max((12 - far) / 2 + 0.5, 0), 1)
    })
    const radius = (a: Float32Array) => Math.sqrt(a.reduce((s, v) => s + v, 0) / Math.PI)
    for (const out of [-2.5, 1, 3])
      expect(Math.abs(radius(withEdges(disc, size, { out, wider: 0 })) - radius(disc) - out)).toBeLessThan(
        0.1,
      )
  })
})
