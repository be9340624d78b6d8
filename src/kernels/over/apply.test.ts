import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { emptyImage, type FloatImage } from '../../core/index.js'
import { add, over } from './apply.js'

const one = (...v: number[]): FloatImage => ({
  region: { x: 0, y: 0, width: 1, height: 1 },
  data: Float32Array.from(v),
})

function near(image: FloatImage, expected: readonly number[]) {
  expected.forEach((v, i) => {
    expect(image.data[i]).toBeCloseTo(v, 6)
  })
}

describe('over and add', () => {
  it('over: Porter & Duff 1984, as OpenImageIO computes it', () => {
    const b = one(0.1, 0.3, 0.6, 0.8)
    over(b, one(0.4, 0.2, 0.1, 0.5))
    near(b, [0.45, 0.35, 0.4, 0.9])
  })

  it('over is associative', () => {
    const pixel = fc.array(fc.float({ min: 0, max: 1, noNaN: true }), { minLength: 4, maxLength: 4 })
    fc.assert(
      fc.property(pixel, pixel, pixel, (a, b, c) => {
        const left = one(...b)
        over(left, one(...a))
        const first = one(...c)
        over(first, left)
        const second = one(...c)
        over(second, one(...b))
        over(second, one(...a))
        near(first, [...second.data])
      }),
    )
  })

  it('add sums light and holds alpha to 1', () => {
    const b = one(0.1, 0.3, 2, 0.8)
    add(b, one(0.4, 0.2, 3, 0.5))
    near(b, [0.5, 0.5, 5, 1])
  })

  it.each([over, add])('%o touches only what both hold', (operation) => {
    fc.assert(
      fc.property(fc.integer({ min: -4, max: 4 }), fc.integer({ min: -4, max: 4 }), (x, y) => {
        const dst = emptyImage({ x: 1, y: 1, width: 3, height: 2 })
        const src = emptyImage({ x, y, width: 2, height: 3 })
        src.data.fill(0.5)
        operation(dst, src)
        for (let j = 0; j < 2; j++) {
          for (let i = 0; i < 3; i++) {
            const inside = 1 + i >= x && 1 + i < x + 2 && 1 + j >= y && 1 + j < y + 3
            expect(dst.data[4 * (3 * j + i)]).toBe(inside ? 0.5 : 0)
          }
        }
      }),
    )
  })
})
