import fc from 'fast-check'
import { expect, it } from 'vitest'
import { watchKernels } from '../../../test/fastPath.js'
import { hash } from '../../core/index.js'
import { type Interleaved, pickSamples } from './apply.js'
import { pickSamples as plain } from './scalar.js'

const ranFast = watchKernels('pickRow')

it('picking by SIMD and in plain TypeScript gives the same bytes, however samples lie', () => {
  const side = fc.integer({ min: 1, max: 41 })
  fc.assert(
    fc.property(
      side,
      side,
      fc.constantFrom(1 as const, 2 as const, 4 as const),
      fc.constantFrom(1 as const, 2 as const, 3 as const, 4 as const),
      fc.nat(3),
      fc.boolean(),
      fc.constantFrom(0, 4, 6),
      fc.nat(9),
      (width, height, size, step, place, swap, down, more) => {
        const shift = size === 2 ? down : 0
        const lies: Interleaved = { size, step, offset: place % step, swap, shift }
        const line = size * (step * width + more)
        const source = Uint8Array.from({ length: line * height }, (_, i) => hash(1, 2, i, 3, 4) >>> 24)
        expect(pickSamples(source, line, lies, width, height)).toEqual(
          plain(source, line, lies, width, height),
        )
      },
    ),
    { numRuns: 400 },
  )
  ranFast()
})
