import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { emptyImage, type FloatImage, uniform } from '../../core/index.js'
import { filtered } from '../resample/scalar.js'
import { axes, shrink } from './apply.js'
import type { Border } from './taps.js'

function noisy(width: number, height: number): FloatImage {
  const src = emptyImage({ x: 0, y: 0, width, height })
  for (let i = 0; i < src.data.length; i++) src.data[i] = uniform(5, width, i, 0, 0)
  return src
}

/** The mean over a square by its definition: a fine lattice of points, whose pixel each one takes. */
function mean(src: FloatImage, x: number, y: number, side: number, channel: number, border: Border): number {
  const { width, height } = src.region
  const steps = 64
  let sum = 0
  let inside = 0
  for (let j = 0; j < steps; j++) {
    for (let i = 0; i < steps; i++) {
      const u = Math.floor(x + ((i + 0.5) / steps) * side)
      const v = Math.floor(y + ((j + 0.5) / steps) * side)
      if (u < 0 || v < 0 || u >= width || v >= height) continue
      sum += src.data[4 * (v * width + u) + channel]
      inside++
    }
  }
  return sum / (border === 'held' ? Math.max(inside, 1) : steps * steps)
}

describe('a picture made smaller', () => {
  it('is the mean over the square of each pixel, at any scale and offset', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 19 }),
        fc.integer({ min: 1, max: 13 }),
        fc.double({ min: 0.11, max: 1, noNaN: true }),
        fc.double({ min: -1, max: 1, noNaN: true }),
        fc.constantFrom<Border>('held', 'clear'),
        (width, height, scale, origin, border) => {
          const src = noisy(width, height)
          const map = { scaleX: scale, scaleY: scale, originX: origin, originY: -origin }
          const region = { x: 0, y: 0, width: Math.ceil(width * scale), height: Math.ceil(height * scale) }
          const out = shrink(src, map, region, border)
          for (let y = 0, o = 0; y < region.height; y++) {
            for (let x = 0; x < region.width; x++, o += 4) {
              const [left, top] = [(x - origin) / scale, (y + origin) / scale]
              const parts = border === 'held' && (left < 0 || top < 0 || left + 1 / scale > width)
              // A thin rest of a pixel at the border is seen by few of the lattice's points.
              if (parts || (border === 'held' && top + 1 / scale > height)) continue
              const naive = mean(src, left, top, 1 / scale, y % 4, border)
              expect(Math.abs(out.data[o + (y % 4)] - naive)).toBeLessThan(0.04)
            }
          }
        },
      ),
      { numRuns: 60 },
    )
  })

  it('by a whole factor is the plain mean, and loses no light', () => {
    const src = noisy(6, 4)
    const out = shrink(
      src,
      { scaleX: 0.5, scaleY: 0.5, originX: 0, originY: 0 },
      { ...{ x: 0, y: 0, width: 3, height: 2 } },
      'held',
    )
    const at = (x: number, y: number) => src.data[4 * (6 * y + x)]
    expect(out.data[4]).toBeCloseTo((at(2, 0) + at(3, 0) + at(2, 1) + at(3, 1)) / 4, 6)
    const sum = (d: Float32Array) => d.reduce((a, b) => a + b, 0)
    expect(4 * sum(out.data)).toBeCloseTo(sum(src.data), 4)
  })

  it('covers a border in part where nothing lies beyond it, and wholly where it is held', () => {
    const src = emptyImage({ x: 0, y: 0, width: 3, height: 2 })
    src.data.fill(1)
    const map = { scaleX: 0.5, scaleY: 0.5, originX: 0, originY: 0 }
    const region = { x: 0, y: 0, width: 2, height: 1 }
    expect([...shrink(src, map, region, 'clear').data].slice(4)).toEqual([0.5, 0.5, 0.5, 0.5])
    expect([...shrink(src, map, region, 'held').data].slice(4)).toEqual([1, 1, 1, 1])
  })

  it('by SIMD has the bits of the plain one', () => {
    const src = noisy(31, 17)
    const map = { scaleX: 0.37, scaleY: 0.41, originX: 0.2, originY: -0.3 }
    const region = { x: 0, y: 0, width: 12, height: 7 }
    expect(shrink(src, map, region, 'clear').data).toEqual(
      filtered(src, ...axes(src, map, region, 'clear'), region).data,
    )
  })

  it('cannot grow', () => {
    const map = { scaleX: 1.5, scaleY: 1, originX: 0, originY: 0 }
    expect(() => shrink(noisy(2, 2), map, { x: 0, y: 0, width: 3, height: 2 }, 'held')).toThrow(
      'cannot be shrunk',
    )
  })
})
