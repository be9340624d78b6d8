import fc from 'fast-check'
import { expect, it } from 'vitest'
import { watchKernels } from '../../../test/fastPath.js'
import type { FloatImage } from '../../core/index.js'
import { alphaFromLight, halveDepth, holdAlpha, setAlpha, timesAlpha } from './apply.js'
import * as plain from './scalar.js'

const fast = watchKernels('holdAlpha', 'timesAlpha', 'setAlpha', 'alphaFromLight', 'halveDepth')
const value = fc.oneof(
  fc.double({ min: -2, max: 3, noNaN: true }),
  fc.constantFrom(0, -0, 1, Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY, 1e-40, 1e30),
)
const pixels = fc.array(fc.tuple(value, value, value, value), { minLength: 1, maxLength: 9 })
const picture = (of: readonly (readonly number[])[]): FloatImage => ({
  region: { x: 0, y: 0, width: of.length, height: 1 },
  data: Float32Array.from(of.flat()),
})

function expectSame(ours: FloatImage, twin: Float32Array) {
  twin.forEach((v, i) => {
    if (!Object.is(ours.data[i], v)) expect({ i, v: ours.data[i] }).toEqual({ i, v })
  })
}

it('steps of alpha by SIMD and in plain TypeScript give the same bits, odd values included', () => {
  fc.assert(
    fc.property(pixels, fc.boolean(), value, (of, flag, alpha) => {
      for (const [work, twin] of [
        [(i) => holdAlpha(i, flag), (d) => plain.holdAlpha(d, flag)],
        [(i) => timesAlpha(i, flag), (d) => plain.timesAlpha(d, flag)],
        [(i) => setAlpha(i, alpha), (d) => plain.setAlpha(d, alpha)],
        [alphaFromLight, plain.alphaFromLight],
      ] as [(i: FloatImage) => void, (d: Float32Array) => void][]) {
        const [a, b] = [picture(of), picture(of)]
        work(a)
        twin(b.data)
        expectSame(a, b.data)
      }
      for (const apart of [true, false]) {
        const [light, coverage] = [picture(of), apart ? picture(of.toReversed()) : undefined]
        const [twin, twins] = [picture(of), apart ? picture(of.toReversed()) : undefined]
        halveDepth(light, coverage)
        plain.halveDepth(twin.data, twins?.data)
        expectSame(light, twin.data)
        if (coverage !== undefined && twins !== undefined) expectSame(coverage, twins.data)
      }
    }),
    { numRuns: 300 },
  )
  fast()
})
