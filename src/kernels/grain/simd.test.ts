import fc from 'fast-check'
import { expect, it } from 'vitest'
import { watchKernels } from '../../../test/fastPath.js'
import { coarseField, grainField } from './apply.js'
import type { GrainTaps } from './factor.js'
import { grainField as plain, coarseField as plainCoarse } from './scalar.js'

const fast = watchKernels('whiteRow', 'filterAcross', 'filterDown', 'mixRow', 'weighAcross', 'weighDown')

const tap = fc.double({ min: -0.6, max: 0.9, noNaN: true })
const symmetric = fc.array(tap, { maxLength: 3 }).map((half) => [...half.toReversed(), 1, ...half])
const channel = fc.record({ x: symmetric, y: symmetric })
const share = fc.double({ min: -1, max: 1, noNaN: true })
const mixings = fc.array(share, { minLength: 9, maxLength: 9 })

it('grain by SIMD and in plain TypeScript gives the same bits: any region, seed, frame, taps, size and mix', () => {
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
      mixings,
      fc.integer({ min: 1, max: 40 }),
      (region, seed, frame, taps, mixing, size) => {
        const three = taps as [GrainTaps, GrainTaps, GrainTaps]
        same(
          grainField({ seed, frame, taps: three, mixing }, region),
          plain(seed, frame, region, three, mixing),
        )
        const coarse = { size, mixing }
        same(coarseField({ seed, frame }, coarse, region), plainCoarse(seed, frame, region, coarse))
      },
    ),
    { numRuns: 150 },
  )
  fast()
})

function same(ours: Float32Array, twin: Float32Array): void {
  for (let i = 0; i < twin.length; i++) {
    if (ours[i] !== twin[i]) expect({ i, value: ours[i] }).toEqual({ i, value: twin[i] })
  }
}
