import fc from 'fast-check'
import { expect, it } from 'vitest'
import { watchKernels } from '../../../test/fastPath.js'
import { emptyImage } from '../../core/index.js'
import { eachAbove, notFinite } from './apply.js'
import { nextAbove, nextNotFinite } from './scalar.js'

const fast = watchKernels('nextNotFinite', 'nextAbove')

it('searches by SIMD and in plain TypeScript find the same, wherever it lies', () => {
  const rare = fc.constantFrom(Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY, 3.4e38, 2, 1)
  const put = fc.tuple(fc.nat({ max: 4 * 41 - 1 }), rare)
  fc.assert(
    fc.property(fc.integer({ min: 1, max: 41 }), fc.array(put, { maxLength: 9 }), (width, all) => {
      const image = emptyImage({ x: 0, y: 0, width, height: 1 })
      for (const [i, v] of all) if (i < image.data.length) image.data[i] = v
      const holes: number[] = []
      const { data } = image
      for (let i = nextNotFinite(data, 0); i < data.length; i = nextNotFinite(data, i + 1)) holes.push(i)
      expect(notFinite(data)).toEqual(holes)
      const bright: number[] = []
      for (let p = nextAbove(data, 0, 1); p < width; p = nextAbove(data, p + 1, 1)) bright.push(4 * p)
      const seen: number[] = []
      eachAbove(image, 1, (i) => seen.push(i))
      expect(seen).toEqual(bright)
    }),
    { numRuns: 500 },
  )
  fast()
})
