import fc from 'fast-check'
import { expect, it } from 'vitest'
import { watchKernels } from '../../../test/fastPath.js'
import type { FloatImage } from '../../core/index.js'
import { add, addColour, over } from '../over/apply.js'
import { add as plainAdd, addColour as plainColour, over as plainOver } from '../over/scalar.js'
import { holdToPeak } from '../planes/peak.js'
import { holdToPeak as plainHold } from '../planes/peakScalar.js'
import { applyGain, applyMatrix, applyScale, applyVeil } from './apply.js'
import * as plain from './scalar.js'

const fastLinear = watchKernels('matrix', 'gain', 'scale', 'veil')
const fastOver = watchKernels('over', 'add', 'addColour', 'peakRow')

const value = fc.oneof(
  fc.double({ min: -3, max: 3 }),
  fc.constantFrom(0, -0, Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY, 1e-40, 1e30),
)
const pixel = fc.tuple(value, value, value, value)
const three = fc.tuple(value, value, value)
const pictures = fc.array(pixel, { minLength: 1, maxLength: 9 })
const picture = (pixels: readonly (readonly number[])[]): FloatImage => ({
  region: { x: 0, y: 0, width: pixels.length, height: 1 },
  data: Float32Array.from(pixels.flat()),
})

function same(
  pixels: readonly (readonly number[])[],
  ours: (i: FloatImage) => void,
  twin: (i: FloatImage) => void,
) {
  const [a, b] = [picture(pixels), picture(pixels)]
  ours(a)
  twin(b)
  b.data.forEach((v, i) => {
    if (!Object.is(a.data[i], v)) expect({ i, v: a.data[i] }).toEqual({ i, v })
  })
}

it('matrix, gain and veil by SIMD and in plain TypeScript give the same bits', () => {
  const nine = fc.array(fc.double({ min: -2, max: 2, noNaN: true }), { minLength: 9, maxLength: 9 })
  fc.assert(
    fc.property(pictures, nine, three, three, (pixels, m, gain, offset) => {
      same(
        pixels,
        (i) => applyMatrix(i, m),
        (i) => plain.applyMatrix(i, m),
      )
      same(
        pixels,
        (i) => applyGain(i, gain),
        (i) => plain.applyGain(i, gain),
      )
      same(
        pixels,
        (i) => applyScale(i, gain[0]),
        (i) => plain.applyScale(i, gain[0]),
      )
      same(
        pixels,
        (i) => applyVeil(i, gain, offset),
        (i) => plain.applyVeil(i, gain, offset),
      )
    }),
  )
  fastLinear()
})

it('over, add and the peak by SIMD and in plain TypeScript give the same bits', () => {
  fc.assert(
    fc.property(fc.array(fc.tuple(pixel, pixel), { minLength: 1, maxLength: 40 }), fc.nat(40), (all, end) => {
      const below = all.map(([p]) => p)
      const above = picture(all.map(([, p]) => p))
      const mask = Uint8Array.from(all, (_, i) => (i < end || i % 3 === 0 ? 1 : 0))
      same(
        below,
        (i) => over(i, above),
        (i) => plainOver(i, above),
      )
      same(
        below,
        (i) => add(i, above),
        (i) => plainAdd(i, above),
      )
      same(
        below,
        (i) => addColour(i, above),
        (i) => plainColour(i, above),
      )
      same(
        below,
        (i) => holdToPeak(i, above, mask),
        (i) => plainHold(i, above, mask),
      )
    }),
  )
  fastOver()
})
