import fc from 'fast-check'
import { expect, it } from 'vitest'
import { watchKernels } from '../../../test/fastPath.js'
import { emptyImage, uniform } from '../../core/index.js'
import { lightSums } from './apply.js'
import { lightSums as plain } from './scalar.js'

const fast = watchKernels('lightRow')

it('light summed by SIMD and in plain TypeScript gives the same bits, odd values included', () => {
  const side = fc.integer({ min: 1, max: 30 })
  const odd = fc.constantFrom(0, Number.NaN, Number.POSITIVE_INFINITY, -5, 1e30)
  fc.assert(
    fc.property(side, side, odd, fc.nat({ max: 3000 }), (width, height, rare, at) => {
      const image = emptyImage({ x: -7, y: 11, width, height })
      image.data.forEach((_, i) => {
        image.data[i] = i === at ? rare : 1.2 * uniform(5, width, i, 0, 0) - 0.2
      })
      expect(lightSums(image)).toEqual(plain(image))
    }),
    { numRuns: 300 },
  )
  fast()
})

it('finds the middle of a lamp: one pixel, and two of like light', () => {
  const image = emptyImage({ x: 10, y: 20, width: 5, height: 5 })
  image.data.set([1, 2, 3, 1], 4 * (2 * 5 + 1))
  expect(lightSums(image)).toEqual({
    total: [1, 2, 3],
    weight: 6,
    x: 6 * 11.5,
    y: 6 * 22.5,
    yy: 6 * 22.5 ** 2,
  })
  image.data.set([1, 2, 3, 1], 4 * (4 * 5 + 3))
  const { weight, x, y } = lightSums(image)
  expect([x / weight, y / weight]).toEqual([12.5, 23.5])
})
