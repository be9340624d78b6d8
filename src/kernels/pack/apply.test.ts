import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { emptyImage, type PixelLayout, uniform } from '../../core/index.js'
import type { Coding } from '../planes/coding.js'
import { pack } from './apply.js'

/** Float samples are the values themselves, unrounded. */
const layout = (subX: 0 | 1 | 2, subY: 0 | 1): PixelLayout => ({
  family: 'yuv',
  bits: 32,
  float: true,
  subX,
  subY,
  alpha: false,
})

function picture(width: number, height: number) {
  const image = emptyImage({ x: 0, y: 0, width, height })
  for (let i = 0; i < image.data.length; i++) image.data[i] = uniform(5, 0, i, 0, 0)
  return image
}

describe('pack', () => {
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
      const { planes } = pack(image, layout(1, 1), coding)
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
          expect(planes[1].data[j * 5 + i]).toBeCloseTo(cb, 6)
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
          const { planes } = pack(image, layout(...sub), coding)
          const at = [0.34547, -0.13228605, 0.25687706]
          planes.forEach((plane, p) => {
            for (const v of plane.data) expect(Math.abs(v - at[p])).toBeLessThan(2e-7)
          })
        },
      ),
    )
  })

  it('rounds to nearest, halves up, holds codes to their range and makes 0 of NaN', () => {
    const values = [
      -1,
      -0.4 / 255,
      0.5 / 255,
      1.49 / 255,
      254.5 / 255,
      2,
      Number.NaN,
      Number.POSITIVE_INFINITY,
    ]
    const image = emptyImage({ x: 0, y: 0, width: values.length, height: 1 })
    values.forEach((v, i) => {
      image.data.set([v, v, v, v], 4 * i)
    })
    const rgba: PixelLayout = { family: 'rgb', bits: 8, float: false, subX: 0, subY: 0, alpha: true }
    for (const { data } of pack(image, rgba, { range: 'full', matrix: 'rgb', siting: 'left' }).planes) {
      expect([...data]).toEqual([0, 0, 1, 1, 255, 255, 0, 255])
    }
  })
})
