import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { emptyImage, type PixelLayout, uniform } from '../../core/index.js'
import type { Coding } from './coding.js'
import { packFloat } from './pack.js'

const layout = (subX: 0 | 1 | 2, subY: 0 | 1): PixelLayout => ({
  family: 'yuv',
  bits: 10,
  float: false,
  subX,
  subY,
  alpha: false,
})

function picture(width: number, height: number) {
  const image = emptyImage({ x: 0, y: 0, width, height })
  for (let i = 0; i < image.data.length; i++) image.data[i] = uniform(5, 0, i, 0, 0)
  return image
}

describe('packFloat', () => {
  it('equals the plain sum over the triangle, siting by siting, written out here', () => {
    // Weights around chroma site (x, y), from the definition of linear interpolation's transpose.
    const cosited = [
      [-1, 0.25],
      [0, 0.5],
      [1, 0.25],
    ]
    const centred = [
      [-1, 0.125],
      [0, 0.375],
      [1, 0.375],
      [2, 0.125],
    ]
    const width = 10
    const height = 8
    const image = picture(width, height)
    for (const [siting, tx, ty] of [
      ['left', cosited, centred],
      ['centre', centred, centred],
      ['top-left', cosited, cosited],
    ] as const) {
      const coding: Coding = { range: 'limited', matrix: 'bt709', siting }
      const { planes } = packFloat(image, layout(1, 1), coding, width, height)
      for (let j = 0; j < 4; j++) {
        for (let i = 0; i < 5; i++) {
          let cb = 0
          for (const [dy, wy] of ty) {
            for (const [dx, wx] of tx) {
              const x = Math.min(Math.max(2 * i + dx, 0), width - 1)
              const y = Math.min(Math.max(2 * j + dy, 0), height - 1)
              const [r, g, b] = image.data.subarray(4 * (y * width + x))
              cb += (wx * wy * (b - (0.2126 * r + 0.7152 * g + 0.0722 * b))) / 1.8556
            }
          }
          expect(planes[1].data[j * 5 + i]).toBeCloseTo(512 + 896 * cb, 3)
        }
      }
    }
  })

  it('keeps a constant constant to the float, whatever siting, size and subsampling', () => {
    fc.assert(
      fc.property(
        fc.constantFrom('left', 'centre', 'top-left'),
        fc.constantFrom<[0 | 1 | 2, 0 | 1]>([0, 0], [1, 0], [1, 1], [2, 0]),
        fc.integer({ min: 1, max: 9 }),
        fc.integer({ min: 1, max: 9 }),
        (siting, sub, width, height) => {
          const image = emptyImage({ x: 0, y: 0, width, height })
          for (let i = 0; i < image.data.length; i += 4) image.data.set([0.75, 0.25, 0.1, 1], i)
          const coding = { range: 'limited', matrix: 'bt709', siting } as Coding
          const { planes } = packFloat(image, layout(...sub), coding, width, height)
          const at = [64 + 876 * 0.34547, 512 - 896 * 0.13228605, 512 + 896 * 0.25687706]
          planes.forEach((plane, p) => {
            for (const v of plane.data) expect(Math.abs(v - at[p])).toBeLessThan(2e-4)
          })
        },
      ),
    )
  })

  it('gives the samples of a region as of the whole, away from its inner edges', () => {
    const coding: Coding = { range: 'limited', matrix: 'bt709', siting: 'left' }
    const image = picture(12, 12)
    const whole = packFloat(image, layout(1, 1), coding, 12, 12)
    const region = { x: 2, y: 2, width: 10, height: 8 }
    const part = emptyImage(region)
    for (let y = 0; y < 8; y++) {
      const at = 4 * ((y + 2) * 12 + 2)
      part.data.set(image.data.subarray(at, at + 40), 40 * y)
    }
    const packed = packFloat(part, layout(1, 1), coding, 12, 12)
    expect(packed.planes[1].region).toEqual({ x: 1, y: 1, width: 5, height: 4 })
    for (let j = 1; j < 3; j++) {
      for (let i = 1; i < 5; i++) {
        expect(packed.planes[1].data[5 * j + i]).toBe(whole.planes[1].data[6 * (j + 1) + i + 1])
      }
    }
  })

  it('refuses a region that cuts through chroma', () => {
    const image = emptyImage({ x: 1, y: 0, width: 2, height: 2 })
    const coding: Coding = { range: 'limited', matrix: 'bt709', siting: 'left' }
    expect(() => packFloat(image, layout(1, 1), coding, 8, 8)).toThrow('cuts through chroma')
    expect(() => packFloat(image, layout(0, 0), coding, 8, 8)).not.toThrow()
  })
})
