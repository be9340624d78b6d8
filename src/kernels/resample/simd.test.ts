import fc from 'fast-check'
import { expect, it } from 'vitest'
import { watchKernels } from '../../../test/fastPath.js'
import { emptyImage, uniform } from '../../core/index.js'
import { resample } from './apply.js'
import { placedRegion } from './place.js'
import { resample as plain } from './scalar.js'

const fast = watchKernels('resampleAcross', 'resampleDown')

it('placing by SIMD and in plain TypeScript gives the same bits: any size, scale, offset and region', () => {
  const odd = [Number.NaN, Number.POSITIVE_INFINITY, -3, 491, 1e-30]
  // Round numbers put pixels where the filter is exactly 0, so that a later row may look higher up than the one before.
  const scale = fc.oneof(
    fc.double({ min: 0.07, max: 5, noNaN: true }),
    fc.constantFrom(0.1, 0.2, 0.4, 0.5, 1, 2),
  )
  const offset = fc.oneof(
    fc.double({ min: -9, max: 9, noNaN: true }),
    fc.integer({ min: -90, max: 90 }).map((v) => v / 10),
  )
  fc.assert(
    fc.property(
      fc.integer({ min: 1, max: 30 }),
      fc.integer({ min: 1, max: 20 }),
      fc.record({ scaleX: scale, scaleY: scale, originX: offset, originY: offset }),
      fc.integer({ min: -4, max: 4 }),
      fc.boolean(),
      (width, height, map, grown, wild) => {
        const src = emptyImage({ x: 0, y: 0, width, height })
        for (let i = 0; i < src.data.length; i++) {
          src.data[i] = wild && i % 11 === 4 ? odd[i % odd.length] : 1.5 * uniform(3, width, i, 0, 0) - 0.2
        }
        const r = placedRegion(width, height, map)
        const region = {
          x: r.x - grown,
          y: r.y - grown,
          width: Math.max(r.width + 2 * grown, 1),
          height: Math.max(r.height + 2 * grown, 1),
        }
        const ours = resample(src, map, region)
        const twin = plain(src, map, region)
        for (let i = 0; i < twin.data.length; i++) {
          if (
            !(ours.data[i] === twin.data[i] || (Number.isNaN(ours.data[i]) && Number.isNaN(twin.data[i])))
          ) {
            expect({ i, value: ours.data[i] }).toEqual({ i, value: twin.data[i] })
          }
        }
      },
    ),
    {
      numRuns: 300,
      examples: [[1, 5, { scaleX: 0.4, scaleY: 0.4, originX: -0.1, originY: 2.3 }, -1, false]],
    },
  )
  fast()
})
