import fc from 'fast-check'
import { expect, it } from 'vitest'
import { watchKernels } from '../../../test/fastPath.js'
import { curveOf } from '../../colour/index.js'
import { allocateFrame, type NativeFrame, type PixelLayout, type Siting, uniform } from '../../core/index.js'
import { curveTable } from '../curve/table.js'
import type { Coding } from '../planes/coding.js'
import { convertFrame } from './apply.js'
import { repack } from './repack.js'
import { convertFrame as plain } from './scalar.js'

const odd = [Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY, -2, 70000]
const curves = [curveTable(curveOf('s-log3').decode), curveTable(curveOf('bt709').encode)]

function noise(layout: PixelLayout, width: number, height: number): NativeFrame {
  const frame = allocateFrame(layout, width, height)
  frame.planes.forEach(({ data }, p) => {
    for (let i = 0; i < data.length; i++) {
      const v = uniform(5, p, i, 0, 0)
      data[i] = !layout.float ? Math.floor(v * 2 ** layout.bits) : i % 19 === 3 ? odd[i % 5] : 1.4 * v - 0.2
    }
  })
  return frame
}

const ranFast = watchKernels(
  'widenRow',
  'codesRow',
  'floatsRow',
  'mixRows',
  'betweenTwo',
  'filterHalf',
  'filterTaps',
  'rgbRow',
  'yuvRow',
  'curve',
)

const sides = fc.tuple(fc.integer({ min: 1, max: 37 }), fc.integer({ min: 1, max: 37 }))
const ends = fc
  .record({
    bits: fc.constantFrom(8, 9, 10, 12, 16, 32),
    matrix: fc.constantFrom('rgb' as const, 'bt601' as const, 'bt709' as const),
    sub: fc.constantFrom([0, 0] as const, [1, 0] as const, [1, 1] as const, [2, 0] as const, [0, 1] as const),
    siting: fc.constantFrom<Siting>('left', 'centre', 'right', 'top-left', 'top', 'bottom', 'bottom-right'),
    range: fc.constantFrom('limited' as const, 'full' as const),
    alpha: fc.boolean(),
  })
  .map(({ bits, matrix, sub, siting, range, alpha }) => {
    const rgb = matrix === 'rgb'
    // Luma and chroma are integers in every format that there is.
    const float = rgb && bits === 32
    const layout: PixelLayout = {
      family: rgb ? 'rgb' : 'yuv',
      bits: rgb ? bits : Math.min(bits, 16),
      float,
      subX: rgb ? 0 : sub[0],
      subY: rgb ? 0 : sub[1],
      alpha,
    }
    const coding: Coding = { range, matrix, siting }
    return { layout, coding }
  })

function expectSame(ours: NativeFrame, twin: NativeFrame): void {
  ours.planes.forEach(({ data }, p) => {
    data.forEach((s, i) => {
      const t = twin.planes[p].data[i]
      if (!Object.is(s, t)) expect({ p, i, s }).toEqual({ p, i, s: t })
    })
  })
}

it('converting by SIMD and in plain TypeScript gives the same samples, between any two layouts and codings', () => {
  fc.assert(
    fc.property(sides, ends, ends, fc.integer({ min: 0, max: 2 }), ([width, height], a, b, through) => {
      const frame = noise(a.layout, width, height)
      const list = curves.slice(0, through)
      expectSame(
        convertFrame(frame, a.coding, b.layout, b.coding, list),
        plain(frame, a.coding, b.layout, b.coding, list),
      )
    }),
    { numRuns: 800 },
  )
  ranFast()
})

it('the commonest conversion of all, 4:2:0 to 4:2:2 of the same coding, does too, in whole numbers', () => {
  const ran = watchKernels('widenRow', 'mixWidenRow')
  const bits = fc.constantFrom(
    [8, 8],
    [8, 9],
    [8, 10],
    [8, 12],
    [8, 16],
    [10, 10],
    [10, 12],
    [12, 16],
    [16, 16],
  )
  const siting = fc.constantFrom('left' as const, 'centre' as const, 'top-left' as const, 'bottom' as const)
  fc.assert(
    fc.property(sides, bits, siting, ([width, height], [few, more], site) => {
      const layout: PixelLayout = { family: 'yuv', bits: few, float: false, subX: 1, subY: 1, alpha: false }
      const wanted = { ...layout, bits: more, subY: 0 } as const
      const coding: Coding = { range: 'limited', matrix: 'bt709', siting: site }
      const frame = noise(layout, width, height)
      expectSame(convertFrame(frame, coding, wanted, coding), plain(frame, coding, wanted, coding))
    }),
    { numRuns: 200 },
  )
  ran()
})

it('strips of any height give the same samples', () => {
  fc.assert(
    fc.property(sides, ends, ends, fc.integer({ min: 1, max: 40 }), ([width, height], a, b, strip) => {
      const frame = noise(a.layout, width, height)
      const [one, other] = [0, 1].map(() => allocateFrame(b.layout, width, height)) as [
        NativeFrame,
        NativeFrame,
      ]
      repack(frame, a.coding, one, b.coding, curves, strip)
      repack(frame, a.coding, other, b.coding, curves, 64)
      expectSame(one, other)
    }),
    { numRuns: 300 },
  )
})
