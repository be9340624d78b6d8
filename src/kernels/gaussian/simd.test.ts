import fc from 'fast-check'
import { expect, it } from 'vitest'
import { watchKernels } from '../../../test/fastPath.js'
import { emptyImage, type Region, uniform } from '../../core/index.js'
import { gaussianBlur } from './apply.js'
import { gaussianBlur as plain } from './scalar.js'

const odd = [Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY, -2, 491, 3e38]
const fast = watchKernels('finiteRow', 'halveRow', 'gaussRow', 'splineAcross', 'splineDown')

it('a gaussian by SIMD and in plain TypeScript gives the same bits: any size, place and σ, NaN, infinity, bright, dark', () => {
  const part = (most: number): fc.Arbitrary<Region> =>
    fc.record({
      x: fc.integer({ min: -40, max: 40 }),
      y: fc.integer({ min: -40, max: 40 }),
      width: fc.integer({ min: 1, max: most }),
      height: fc.integer({ min: 1, max: most }),
    })
  const sigma = fc.double({ min: -1.5, max: 6.5, noNaN: true }).map((octave) => 2 ** octave)
  fc.assert(
    fc.property(part(30), part(40), sigma, fc.constantFrom(0, 1, 40), (from, region, s, rare) => {
      const src = emptyImage(from)
      for (let i = 0; i < src.data.length; i++) {
        const v = uniform(9, from.width, i, 0, 0)
        src.data[i] = rare > 0 && i % (7 * rare) === 5 ? odd[i % odd.length] : v < 0.3 ? 0 : 4 * v - 1
      }
      const ours = gaussianBlur(src, s, region)
      const twin = plain(src, s, region)
      twin.data.forEach((v, i) => {
        if (ours.data[i] !== v && !(Number.isNaN(v) && Number.isNaN(ours.data[i]))) {
          expect({ i, v: ours.data[i] }).toEqual({ i, v })
        }
      })
    }),
    { numRuns: 300 },
  )
  fast()
})
