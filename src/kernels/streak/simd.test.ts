import fc from 'fast-check'
import { expect, it } from 'vitest'
import { watchKernels } from '../../../test/fastPath.js'
import { emptyImage, type FloatImage, type Region, uniform } from '../../core/index.js'
import { streak } from './apply.js'
import { streakMap } from './map.js'
import { streak as plain } from './scalar.js'

const fast = watchKernels('streakRow')
const odd = [Number.NaN, Number.POSITIVE_INFINITY, -3, 491, 1e-30, Number.NEGATIVE_INFINITY]

function source(region: Region, wild: boolean): FloatImage {
  const src = emptyImage(region)
  for (let i = 0; i < src.data.length; i++)
    src.data[i] = wild && i % 37 === 4 ? odd[i % odd.length]! : 1.5 * uniform(3, region.width, i, 0, 0) - 0.2
  return src
}

const place = fc.integer({ min: -5, max: 5 })
const box = (width: number, height: number) =>
  fc.record({
    x: place,
    y: place,
    width: fc.integer({ min: 1, max: width }),
    height: fc.integer({ min: 1, max: height }),
  })

it('motion blur by SIMD and in plain TypeScript gives the same bits: any size, way and region, odd values', () => {
  const way = fc.double({ min: -12, max: 12, noNaN: true })
  fc.assert(
    fc.property(
      ...[box(45, 30), box(60, 40), fc.constantFrom(1, 8, 32), fc.boolean(), fc.tuple(way, way, way, way)],
      fc.tuple(place, place),
      (frame, from, step, wild, [ax, ay, bx, by], [dx, dy]) => {
        const map = streakMap(frame, step, (x, y, out) =>
          out.set([ax + x / 9, ay - y / 7, bx - y / 11, by + x / 13]),
        )
        if (map === undefined) return
        const src = source(from, wild)
        const region = { x: frame.x + dx, y: frame.y + dy, width: frame.width + 2, height: frame.height }
        const [ours, twin] = [streak(src, map, region), plain(src, map, region)]
        const [a, b] = [ours, twin].map(
          ({ data }) => new Uint32Array(data.buffer, data.byteOffset, data.length),
        )
        for (let i = 0; i < twin.data.length; i++) {
          if (a![i] === b![i] || (Number.isNaN(ours.data[i]) && Number.isNaN(twin.data[i]))) continue
          expect({ i, value: ours.data[i] }).toEqual({ i, value: twin.data[i] })
        }
      },
    ),
    { numRuns: 50 },
  )
  fast()
})
