import fc from 'fast-check'
import { expect, it } from 'vitest'
import { watchKernels } from '../../../test/fastPath.js'
import { emptyImage, type Rgb, uniform } from '../../core/index.js'
import { takeFloor } from './apply.js'
import { takeFloor as plain } from './scalar.js'

const fast = watchKernels('floorLoad', 'floorRow')
const odd = [Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY, -2, 491]

it('a floor taken off by SIMD and in plain TypeScript gives the same bits: any size, odd values included', () => {
  const side = fc.integer({ min: 1, max: 17 })
  const sigma = fc.constantFrom(0, 0.01, 0.1, 0.4)
  const noise: fc.Arbitrary<Rgb> = fc.tuple(sigma, sigma, sigma)
  fc.assert(
    fc.property(side, side, noise, fc.boolean(), (width, height, noises, wild) => {
      const ours = emptyImage({ x: -2, y: 3, width, height })
      for (let i = 0; i < ours.data.length; i++) {
        ours.data[i] = wild && i % 23 === 7 ? odd[i % 5] : 0.3 * uniform(width, height, i, 0, 0) ** 3
      }
      const twin = { region: ours.region, data: ours.data.slice() }
      takeFloor(ours, [0.01, 0.02, 0.03], noises)
      plain(twin, [0.01, 0.02, 0.03], noises)
      twin.data.forEach((v, i) => {
        if (!Object.is(ours.data[i], v)) expect({ i, v: ours.data[i] }).toEqual({ i, v })
      })
    }),
    { numRuns: 300 },
  )
  fast()
})
