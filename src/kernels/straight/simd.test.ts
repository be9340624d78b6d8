import fc from 'fast-check'
import { expect, it } from 'vitest'
import { watchKernels } from '../../../test/fastPath.js'
import { emptyImage, type Rgb, uniform } from '../../core/index.js'
import { curveTable } from '../curve/table.js'
import { straightCurves, type ThreeTables } from './apply.js'
import { straightCurves as plain } from './scalar.js'

const fast = watchKernels('straightRow')

const tables: ThreeTables = [
  curveTable((x) => (x > 0 ? x ** 0.7 : x)),
  curveTable((x) => 0.1 + 0.8 * x),
  curveTable((x) => (x > 0 ? x ** 1.9 : 0)),
]
const odd = [0, -0.4, Number.NaN, Number.POSITIVE_INFINITY, 1e-30, 1e9]

it('curves on straight colour by SIMD and in plain TypeScript give the same bits, odd values included', () => {
  const weights = fc.constantFrom<Rgb | undefined>(undefined, [0.2126, 0.7152, 0.0722], [0.3, 0.6, 0.1])
  fc.assert(
    fc.property(
      fc.integer({ min: 1, max: 50 }),
      fc.integer({ min: 0, max: 1000 }),
      weights,
      (n, seed, luminance) => {
        const ours = emptyImage({ x: 0, y: 0, width: n, height: 1 })
        for (let i = 0; i < ours.data.length; i++) {
          ours.data[i] = i % 13 === 5 ? odd[(i + seed) % odd.length] : 1.4 * uniform(seed, 0, i, 0, 0) - 0.1
        }
        const twin = { region: ours.region, data: ours.data.slice() }
        straightCurves(ours, tables, luminance)
        plain(twin, tables, luminance)
        twin.data.forEach((v, i) => {
          if (!Object.is(ours.data[i], v)) expect({ i, v: ours.data[i] }).toEqual({ i, v })
        })
      },
    ),
    { numRuns: 300 },
  )
  fast()
})
