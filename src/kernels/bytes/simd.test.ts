import fc from 'fast-check'
import { expect, it } from 'vitest'
import { watchKernels } from '../../../test/fastPath.js'
import { splitBytes } from './apply.js'
import { splitBytes as plain } from './scalar.js'

const ranFast = watchKernels('splitRow')

it('splitting by SIMD and in plain TypeScript gives the same bytes, and they can be put together again', () => {
  fc.assert(
    fc.property(fc.uint8Array({ maxLength: 150 }), (some) => {
      const raw = some.subarray(0, some.length & ~1)
      const split = splitBytes(raw)
      expect(split).toEqual(plain(raw))
      // As a reader does: sums, then the two halves in turns.
      const sums = split.slice()
      for (let i = 1; i < sums.length; i++) sums[i] = sums[i - 1] + sums[i] - 128
      const half = raw.length >> 1
      expect(raw.every((v, i) => v === sums[(i & 1) * half + (i >> 1)])).toBe(true)
    }),
    { numRuns: 400 },
  )
  ranFast()
})
