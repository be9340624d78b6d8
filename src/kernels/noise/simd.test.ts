import fc from 'fast-check'
import { expect, it } from 'vitest'
import { watchKernels } from '../../../test/fastPath.js'
import { emptyImage, uniform } from '../../core/index.js'
import { blockStats } from './blocks.js'
import { channelNoise } from './scalar.js'

const fast = watchKernels('blockNoise')
const odd = [Number.NaN, Number.POSITIVE_INFINITY, -2, 491, 1e30]

it('noise of blocks by SIMD and in plain TypeScript gives the same bits: any size and place, odd values included', () => {
  const side = fc.integer({ min: 1, max: 40 })
  const place = fc.integer({ min: -20, max: 20 })
  fc.assert(
    fc.property(side, side, place, place, fc.integer({ min: 3, max: 9 }), fc.boolean(), (...all) => {
      const [width, height, x, y, size, wild] = all
      const image = emptyImage({ x, y, width, height })
      image.data.forEach((_, i) => {
        image.data[i] = wild && i % 97 === 31 ? odd[i % 5] : uniform(4, width, i, 0, 0)
      })
      const residual = new Float64Array(size * size)
      for (const b of blockStats(image, size)) {
        const at = 4 * ((b.y - y) * width + b.x - x)
        for (const c of [0, 1, 2] as const) {
          const twin = channelNoise(image, at + c, size, residual)
          expect([b.mean[c], b.variance[c], b.lagX[c], b.lagY[c]]).toEqual(twin)
        }
      }
    }),
    { numRuns: 300 },
  )
  fast()
})
