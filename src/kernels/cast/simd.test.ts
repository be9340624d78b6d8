import fc from 'fast-check'
import { expect, it } from 'vitest'
import { watchKernels } from '../../../test/fastPath.js'
import { emptyImage, type Region, uniform } from '../../core/index.js'
import { throwLight } from './apply.js'
import type { Lit } from './lamps.js'
import { throwLight as plain } from './scalar.js'

const fast = watchKernels('castRow')
const odd = [Number.NaN, Number.POSITIVE_INFINITY, -2, 491]
const side = fc.integer({ min: 1, max: 20 })
const region: fc.Arbitrary<Region> = fc.record({
  x: fc.integer({ min: -12, max: 12 }),
  y: fc.integer({ min: -12, max: 12 }),
  width: side,
  height: side,
})

function lit(r: Region): Lit {
  const light = emptyImage(r)
  light.data.forEach((_, i) => {
    light.data[i] = i % 31 === 3 ? odd[i % 4] : uniform(1, 0, i, 0, 0)
  })
  const variance = light.data.map((_, i) => 1e-3 * uniform(2, 0, i, 0, 0))
  return { light, variance, touched: new Uint8Array(r.width * r.height) }
}

it('cast light by SIMD and in plain TypeScript gives the same bits, wherever surface and picture meet or do not', () => {
  fc.assert(
    fc.property(region, region, fc.double({ min: 0, max: 4, noNaN: true }), (of, mask, awayM) => {
      const share = Float32Array.from({ length: mask.width * mask.height }, (_, i) =>
        Math.max(0, 1.5 * uniform(3, 0, i, 0, 0) - 0.5),
      )
      const lamps = {
        peak: [0.5, 1, 2],
        nearest: [3.2, -1.7],
        across: 0.02,
        down: 0.01,
        awayM,
        spread: 5,
      } as const
      const [ours, twin] = [lit(of), lit(of)]
      throwLight(ours, { region: mask, share }, lamps)
      plain(twin, { region: mask, share }, lamps)
      for (const [a, b] of [
        [ours.light.data, twin.light.data],
        [ours.variance, twin.variance],
        [ours.touched, twin.touched],
      ]) {
        b.forEach((v, i) => {
          if (!Object.is(a[i], v)) expect({ i, v: a[i] }).toEqual({ i, v })
        })
      }
    }),
    { numRuns: 300 },
  )
  fast()
})
