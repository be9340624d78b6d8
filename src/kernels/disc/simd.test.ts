import fc from 'fast-check'
import { expect, it } from 'vitest'
import { watchKernels } from '../../../test/fastPath.js'
import { oddValues } from '../../../test/oddValues.js'
import { emptyImage, type FloatImage, uniform } from '../../core/index.js'
import { discBlur } from './apply.js'
import { discBlur as plain } from './scalar.js'

const fast = watchKernels('discStrip')

it('a disc by SIMD and in plain TypeScript gives the same bits: any size and radius, NaN, infinity, dark and bright', () => {
  fc.assert(
    fc.property(
      fc.integer({ min: 1, max: 40 }),
      fc.integer({ min: 1, max: 12 }),
      fc.double({ min: 0.3, max: 19, noNaN: true }),
      fc.constantFrom(0, 3, 1000),
      (width, height, radius, rare) => {
        const src = emptyImage({ x: -3, y: 5, width, height })
        for (let i = 0; i < src.data.length; i++) {
          const v = uniform(9, width, i, 0, 0)
          src.data[i] =
            rare > 0 && i % (7 * rare) === 5 ? oddValues[i % oddValues.length] : v < 0.3 ? 0 : 4 * v - 1
        }
        expectTwins(src, radius)
      },
    ),
    { numRuns: 150 },
  )
  fast()
})

it('the same bits where a picture is wider than one strip of columns', () => {
  for (const width of [2047, 2057, 4200]) {
    const src = emptyImage({ x: 0, y: 0, width, height: 3 })
    for (let i = 0; i < src.data.length; i++) src.data[i] = 20 * uniform(3, width, i, 0, 0) - 1
    expectTwins(src, 2.6)
  }
})

function expectTwins(src: FloatImage, radius: number): void {
  const ours = discBlur(src, radius)
  const twin = plain(src, radius)
  expect(ours.region).toEqual(twin.region)
  for (let i = 0; i < twin.data.length; i++) {
    if (ours.data[i] !== twin.data[i]) {
      expect({ i, value: ours.data[i] }).toEqual({ i, value: twin.data[i] })
    }
  }
}
