import fc from 'fast-check'
import { expect, it } from 'vitest'
import { watchKernels } from '../../../test/fastPath.js'
import { grainField } from './apply.js'
import type { GrainTaps } from './factor.js'
import { grainField as plain } from './scalar.js'

const fast = watchKernels('whiteRow', 'filterAcross', 'filterDown', 'mixRow')

const tap = fc.double({ min: -0.6, max: 0.9, noNaN: true })
const symmetric = fc.array(tap, { maxLength: 3 }).map((half) => [...half.toReversed(), 1, ...half])
const channel = fc.record({ x: symmetric, y: symmetric })
const correlation = fc.double({ min: -1, max: 1, noNaN: true })

it('grain by SIMD and in plain TypeScript gives the same bits: any region, seed, frame, taps and mix', () => {
  fc.assert(
    fc.property(
      fc.record({
        x: fc.integer({ min: -50, max: 5000 }),
        y: fc.integer({ min: -50, max: 5000 }),
        width: fc.integer({ min: 1, max: 45 }),
        height: fc.integer({ min: 1, max: 20 }),
      }),
      fc.integer({ min: 0, max: 1e6 }),
      fc.integer({ min: 0, max: 5000 }),
      fc.tuple(channel, channel, channel),
      fc.tuple(correlation, correlation, correlation),
      (region, seed, frame, taps, mix) => {
        const three = taps as [GrainTaps, GrainTaps, GrainTaps]
        const ours = grainField({ seed, frame, taps: three, mix }, region)
        const twin = plain(seed, frame, region, three, mix)
        for (let i = 0; i < twin.length; i++) {
          if (ours[i] !== twin[i]) expect({ i, value: ours[i] }).toEqual({ i, value: twin[i] })
        }
      },
    ),
    { numRuns: 150 },
  )
  fast()
})
