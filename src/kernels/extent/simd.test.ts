import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { watchKernels } from '../../../test/fastPath.js'
import { EMPTY, emptyImage } from '../../core/index.js'
import { extentOf } from './apply.js'
import { extentOf as plain } from './scalar.js'

const fast = watchKernels('firstLit', 'lastLit')

const value = fc.constantFrom(1, -1, 1e-45, Number.NaN, Number.POSITIVE_INFINITY, -0)

describe('the extent of a picture', () => {
  it('is that of the plain one', () => {
    fc.assert(
      fc.property(
        fc.record({
          x: fc.integer({ min: -9, max: 9 }),
          y: fc.integer({ min: -9, max: 9 }),
          width: fc.integer({ min: 1, max: 23 }),
          height: fc.integer({ min: 1, max: 19 }),
        }),
        fc.array(fc.tuple(fc.nat(4 * 23 * 19), value), { maxLength: 6 }),
        (region, lit) => {
          const image = emptyImage(region)
          for (const [i, v] of lit) image.data[i % image.data.length] = v
          expect(extentOf(image)).toEqual(plain(image))
        },
      ),
    )
    fast()
  })

  it('is nothing of nothing, and a pixel of one pixel', () => {
    expect(extentOf(emptyImage({ x: 3, y: 4, width: 7, height: 5 }))).toEqual(EMPTY)
    const image = emptyImage({ x: 3, y: 4, width: 7, height: 5 })
    image.data[4 * (2 * 7 + 6) + 3] = 0.1
    expect(extentOf(image)).toEqual({ x: 9, y: 6, width: 1, height: 1 })
  })
})
