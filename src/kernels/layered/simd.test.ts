import fc from 'fast-check'
import { expect, it } from 'vitest'
import { watchKernels } from '../../../test/fastPath.js'
import { oddValues } from '../../../test/oddValues.js'
import { emptyImage, uniform } from '../../core/index.js'
import { layeredBlur } from './apply.js'
import { layeredBlur as plain } from './scalar.js'

const fast = watchKernels('layeredBand', 'layeredBlocks', 'layeredRow')
const frame = { x: 0, y: 0, width: 96, height: 54 }

/** Signed radii: a slope, two walls, scattered, scattered with nothing here and there. */
const RADII = [
  (x: number, y: number) => (x + 2 * y) / 6 - 4,
  (x: number, y: number) => (x + y < 10 ? -5 : 3),
  (x: number, y: number) => 16 * uniform(3, 0, x + 99, y + 99, 0) - 8,
  (x: number, y: number) =>
    uniform(4, 0, x + 99, y + 99, 0) < 0.2 ? Number.NaN : uniform(5, 0, x + 99, y + 99, 0) < 0.5 ? -7 : 0,
]

it('a blur in depth order by SIMD and in plain TypeScript gives the same bits: any size, place, shape and depth, NaN, infinity, dark and bright', () => {
  fc.assert(
    fc.property(
      fc.record({ x: fc.integer({ min: -30, max: 90 }), y: fc.integer({ min: -30, max: 50 }) }),
      fc.record({ width: fc.integer({ min: 1, max: 24 }), height: fc.integer({ min: 1, max: 24 }) }),
      fc.record({
        blades: fc.constantFrom(0, 3, 6),
        rotationDeg: fc.double({ min: -180, max: 180, noNaN: true }),
        squeeze: fc.constantFrom(0.25, 0.7, 1),
        corner: fc.constantFrom(0, 1),
      }),
      fc.constantFrom(...RADII),
      fc.constantFrom(0, 3, 1000),
      (place, size, aperture, radiusAt, rare) => {
        const src = emptyImage({ ...place, ...size })
        for (let i = 0; i < src.data.length; i++) {
          const v = uniform(9, size.width, i, 0, 0)
          src.data[i] =
            rare > 0 && i % (7 * rare) === 5 ? oddValues[i % oddValues.length] : v < 0.3 ? 0 : 4 * v - 1
        }
        const [ours, twin] = [layeredBlur, plain].map((f) =>
          f(src, { at: radiusAt, most: 6 }, aperture, frame),
        )
        expect(ours.region).toEqual(twin.region)
        expect(ours.data.findIndex((v, i) => v !== twin.data[i])).toBe(-1)
      },
    ),
    {
      numRuns: 10,
      examples: [
        [
          { x: 0, y: 0 },
          { width: 1, height: 1 },
          { blades: 0, rotationDeg: 0, squeeze: 1, corner: 0 },
          RADII[1],
          0,
        ],
      ],
    },
  )
  fast()
})
