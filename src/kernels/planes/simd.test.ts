import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { watchKernels } from '../../../test/fastPath.js'
import { allocateFrame, type NativeFrame, type PixelLayout, type Region, uniform } from '../../core/index.js'
import type { Coding } from './coding.js'
import { unpack as plain } from './scalar.js'
import { unpack } from './unpack.js'

const fast = watchKernels('mixRows', 'between', 'betweenTwo', 'yuvRow', 'planeRow', 'rgbRow')

const sitings = [
  'left',
  'centre',
  'right',
  'top-left',
  'top',
  'top-right',
  'bottom-left',
  'bottom',
  'bottom-right',
] as const

function noise(layout: PixelLayout, width: number, height: number): NativeFrame {
  const frame = allocateFrame(layout, width, height)
  const odd = [Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY, -2, 70000]
  frame.planes.forEach(({ data }, p) => {
    for (let i = 0; i < data.length; i++) {
      const v = uniform(5, p, i, 0, 0)
      data[i] = !layout.float ? Math.floor(v * 2 ** layout.bits) : i % 7 === 3 ? odd[i % 5] : 3 * v - 1
    }
  })
  return frame
}

const layouts = fc.oneof(
  fc.record({
    family: fc.constant('yuv' as const),
    bits: fc.constantFrom(8, 9, 10, 12, 16),
    float: fc.constant(false),
    sub: fc.constantFrom([0, 0] as const, [1, 0] as const, [1, 1] as const, [2, 0] as const, [0, 1] as const),
    alpha: fc.boolean(),
  }),
  fc.record({
    family: fc.constant('rgb' as const),
    bits: fc.constantFrom(8, 10, 16, 32),
    float: fc.constant(false),
    sub: fc.constant([0, 0] as const),
    alpha: fc.boolean(),
  }),
)

describe('unpacking by SIMD and in plain TypeScript', () => {
  it('gives the same bits for every layout, size, siting, range, matrix and region', () => {
    const sizes = fc.integer({ min: 1, max: 37 })
    const part = fc.double({ min: 0, max: 0.999, noNaN: true })
    fc.assert(
      fc.property(
        layouts,
        sizes,
        sizes,
        fc.constantFrom(...sitings),
        fc.constantFrom('limited', 'full'),
        fc.constantFrom('bt601', 'bt709', 'bt2020'),
        fc.tuple(part, part, part, part),
        (l, width, height, siting, range, matrix, [a, b, c, d]) => {
          const layout: PixelLayout = {
            family: l.family,
            bits: l.bits,
            float: l.bits === 32,
            subX: l.sub[0],
            subY: l.sub[1],
            alpha: l.alpha,
          }
          const frame = noise(layout, width, height)
          const coding = { siting, range, matrix: l.family === 'rgb' ? 'rgb' : matrix } as Coding
          const x = Math.floor(a * width)
          const y = Math.floor(b * height)
          const region: Region = {
            x,
            y,
            width: 1 + Math.floor(c * (width - x - 1)),
            height: 1 + Math.floor(d * (height - y - 1)),
          }
          const ours = unpack(frame, coding, region)
          const twin = plain(frame, coding, region)
          expect(ours.data.length).toBe(twin.data.length)
          for (let i = 0; i < twin.data.length; i++) {
            if (!Object.is(ours.data[i], twin.data[i])) {
              expect({ i, value: ours.data[i] }).toEqual({ i, value: twin.data[i] })
            }
          }
        },
      ),
      { numRuns: 600 },
    )
    fast()
  })
})
