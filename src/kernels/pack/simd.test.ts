import fc from 'fast-check'
import { expect, it } from 'vitest'
import { watchKernels } from '../../../test/fastPath.js'
import { emptyImage, type PixelLayout, uniform } from '../../core/index.js'
import type { Coding } from '../planes/coding.js'
import { pack } from './apply.js'
import { pack as plain } from './scalar.js'

const sitings = ['left', 'centre', 'right', 'top-left', 'top', 'top-right', 'bottom', 'bottom-right'] as const
const odd = [Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY, -0, 1e30, -1e-40]

const ranFast = watchKernels('lumaChromaRow', 'threeRows', 'codesRow', 'floatsRow', 'filterHalf', 'addRow')

it('packing by SIMD and in plain TypeScript gives the same samples, for every layout, size, siting and range', () => {
  const side = fc.integer({ min: 1, max: 37 })
  fc.assert(
    fc.property(
      side,
      side,
      fc.constantFrom(8, 9, 10, 12, 16, 32),
      fc.constantFrom('rgb' as const, 'bt601' as const, 'bt709' as const, 'bt2020' as const),
      fc.constantFrom([0, 0], [1, 0], [1, 1], [2, 0], [0, 1]),
      fc.constantFrom(...sitings),
      fc.constantFrom('limited' as const, 'full' as const),
      fc.tuple(fc.boolean(), fc.boolean()),
      (width, height, bits, matrix, [subX, subY], siting, range, [alpha, wild]) => {
        const family = matrix === 'rgb' ? 'rgb' : 'yuv'
        const sub = family === 'rgb' ? { subX: 0, subY: 0 } : { subX, subY }
        const layout = { family, bits, float: bits === 32, ...sub, alpha } as PixelLayout
        const coding: Coding = { siting, range, matrix }
        const image = emptyImage({ x: 0, y: 0, width, height })
        for (let i = 0; i < image.data.length; i++) {
          const place = uniform(2, 0, i, 0, 0)
          image.data[i] = wild && place < 0.05 ? odd[i % odd.length] : 1.6 * uniform(1, 0, i, 0, 0) - 0.3
        }
        const twin = plain(image, layout, coding)
        pack(image, layout, coding).planes.forEach(({ data }, p) => {
          data.forEach((s, i) => {
            const t = twin.planes[p].data[i]
            if (!Object.is(s, t)) expect({ p, i, s }).toEqual({ p, i, s: t })
          })
        })
      },
    ),
    { numRuns: 500 },
  )
  ranFast()
})
