import fc from 'fast-check'
import { expect, it } from 'vitest'
import { watchKernels } from '../../../test/fastPath.js'
import { oddValues } from '../../../test/oddValues.js'
import { emptyImage, uniform } from '../../core/index.js'
import { apertureBlur } from './apply.js'
import { apertureBlur as plain } from './scalar.js'

const fast = watchKernels('apertureRows')
const frame = { x: 0, y: 0, width: 96, height: 54 }

it('an aperture by SIMD and in plain TypeScript gives the same bits: any size, place, shape and radius, NaN, infinity, dark and bright', () => {
  fc.assert(
    fc.property(
      fc.record({ x: fc.integer({ min: -30, max: 90 }), y: fc.integer({ min: -30, max: 50 }) }),
      fc.record({ width: fc.integer({ min: 1, max: 40 }), height: fc.integer({ min: 1, max: 40 }) }),
      fc.double({ min: 0.3, max: 12, noNaN: true }),
      fc.record({
        blades: fc.constantFrom(0, 3, 5, 6, 9),
        rotationDeg: fc.double({ min: -180, max: 180, noNaN: true }),
        squeeze: fc.constantFrom(0.25, 0.7, 1),
        corner: fc.constantFrom(0, 0.4, 1),
      }),
      fc.constantFrom(0, 3, 1000),
      (place, size, radius, aperture, rare) => {
        const src = emptyImage({ ...place, ...size })
        for (let i = 0; i < src.data.length; i++) {
          const v = uniform(9, size.width, i, 0, 0)
          src.data[i] =
            rare > 0 && i % (7 * rare) === 5 ? oddValues[i % oddValues.length] : v < 0.3 ? 0 : 4 * v - 1
        }
        const [ours, twin] = [apertureBlur(src, radius, aperture, frame), plain(src, radius, aperture, frame)]
        expect(ours.region).toEqual(twin.region)
        expect(ours.data.findIndex((v, i) => v !== twin.data[i])).toBe(-1)
      },
    ),
    {
      numRuns: 60,
      examples: [
        [
          { x: 0, y: 0 },
          { width: 1, height: 1 },
          0.3,
          { blades: 3, rotationDeg: 0, squeeze: 0.25, corner: 1 },
          0,
        ],
      ],
    },
  )
  fast()
})
