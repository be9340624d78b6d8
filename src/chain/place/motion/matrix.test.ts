import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { Problem } from '../../../core/index.js'
import { carried, partsAt, type Take } from './carry.js'
import { at, chained, inverse, type Matrix3, normalised, type Place, shift, slopeAt } from './matrix.js'
import { bentAt, type Mesh, unbentAt } from './mesh.js'

const small = fc.double({ min: -0.3, max: 0.3, noNaN: true })
const homography = fc
  .tuple(small, small, small, small, small, small, small, small)
  .map(([a, b, x, c, d, y, g, h]): Matrix3 => [1 + a, b, 100 * x, c, 1 + d, 100 * y, g / 2000, h / 2000, 1])
const place = fc.tuple(
  fc.double({ min: 0, max: 1000, noNaN: true }),
  fc.double({ min: 0, max: 1000, noNaN: true }),
)
const near = (p: readonly number[]) => p.map((v) => expect.closeTo(v, 6))

describe('a motion as a matrix', () => {
  it('goes there and back, and one after the other', () => {
    fc.assert(
      fc.property(homography, homography, place, (m, n, [x, y]) => {
        expect(at(inverse(m), ...at(m, x, y))).toEqual(near([x, y]))
        expect(at(chained(n, m), x, y)).toEqual(near(at(n, ...at(m, x, y))))
      }),
    )
  })

  it('has the slope of small steps', () => {
    fc.assert(
      fc.property(homography, place, (m, [x, y]) => {
        const e = 1e-3
        const [r, l, d, u] = [at(m, x + e, y), at(m, x - e, y), at(m, x, y + e), at(m, x, y - e)]
        expect(slopeAt(m, x, y)).toEqual(
          near([r[0] - l[0], d[0] - u[0], r[1] - l[1], d[1] - u[1]].map((v) => v / 2 / e)),
        )
      }),
    )
  })

  it('refuses what presses the picture flat', () => {
    expect(() => inverse([1, 2, 0, 2, 4, 0, 0, 0, 1])).toThrow(Problem)
    expect(() => normalised([1, 0, 0, 0, 1, 0, 1, 0, 0])).toThrow(Problem)
  })
})

describe('what is taken of a motion', () => {
  const anchor: Place = [700, 400]

  it('carries the anchor all the same, whatever is taken', () => {
    fc.assert(
      fc.property(homography, place, fc.constantFrom<Take>('place', 'size', 'turn', 'all'), (m, p, take) => {
        expect(at(carried(m, take, p), ...p)).toEqual(near(at(m, ...p)))
      }),
    )
  })

  it('is a shift, then a size, then a turn', () => {
    // Turned by 30° clockwise, 1.5 times as large, about the anchor, then moved by (11, −7).
    const [c, s] = [1.5 * Math.cos(Math.PI / 6), 1.5 * Math.sin(Math.PI / 6)]
    const m = chained(shift(711, 393), chained([c, -s, 0, s, c, 0, 0, 0, 1], shift(-700, -400)))
    const right = (take: Take) => at(carried(m, take, anchor), 710, 400)
    expect(right('place')).toEqual(near([721, 393]))
    expect(right('size')).toEqual(near([726, 393]))
    expect(right('turn')).toEqual(near([711 + 15 * Math.cos(Math.PI / 6), 393 + 7.5]))
    expect(right('all')).toEqual(right('turn'))
    expect(partsAt(m, anchor)).toEqual({
      to: near([711, 393]),
      size: expect.closeTo(1.5, 12),
      turn: near([Math.sqrt(3) / 2, 0.5]),
    })
  })

  it('has the turn of the polar decomposition: stretching along the axes turns nothing', () => {
    expect(partsAt([3, 0, 0, 0, 0.5, 0, 0, 0, 1], anchor).turn).toEqual([1, 0])
    // A shear by 1: R = [2 1; −1 2] / √5 (golub2013 §9.4.3, by hand).
    expect(partsAt([1, 1, 0, 0, 1, 0, 0, 0, 1], anchor).turn).toEqual(
      near([2 / Math.sqrt(5), -1 / Math.sqrt(5)]),
    )
  })
})

describe('a mesh', () => {
  const mesh: Mesh = { x: 100, y: 50, width: 600, height: 400, columns: 4, rows: 3 }
  const m: Matrix3 = [1.05, 0.02, 8, -0.03, 0.98, 4, 1e-5, -2e-5, 1]
  const offsets = fc.array(fc.double({ min: -40, max: 40, noNaN: true }), { minLength: 24, maxLength: 24 })

  it('moves its nodes by their offsets, and in between by the mean of those around', () => {
    fc.assert(
      fc.property(offsets, fc.integer({ min: 0, max: 2 }), fc.integer({ min: 0, max: 1 }), (nodes, i, j) => {
        const motion = { matrix: m, mesh, nodes }
        const off = (x: number, y: number) => {
          const [[u, v], [p, q]] = [bentAt(motion, x, y), at(m, x, y)]
          return [u - p, v - q]
        }
        const node = (c: number, r: number) => nodes.slice(2 * (r * 4 + c), 2 * (r * 4 + c) + 2)
        expect(off(100 + 200 * i, 50 + 200 * j)).toEqual(near(node(i, j)))
        const four = [node(i, j), node(i + 1, j), node(i, j + 1), node(i + 1, j + 1)]
        const mean = [0, 1].map((c) => four.reduce((sum, n) => sum + (n[c] as number) / 4, 0))
        expect(off(200 + 200 * i, 150 + 200 * j)).toEqual(near(mean))
        expect(off(-500, 50)).toEqual(near(node(0, 0)))
        expect(off(5000, 5000)).toEqual(near(node(3, 2)))
      }),
    )
  })

  it('is found back', () => {
    fc.assert(
      fc.property(offsets, place, (nodes, [x, y]) => {
        const motion = { matrix: m, mesh, nodes }
        expect(unbentAt(motion, ...bentAt(motion, x, y))).toEqual(near([x, y]))
      }),
    )
  })

  it('says so where it folds: a place that nothing is carried to', () => {
    const nodes = Array.from({ length: 24 }, (_, i) => (i % 2 ? 0 : -200 * ((i / 2) % 4)))
    expect(unbentAt({ matrix: [1, 0, 0, 0, 1, 0, 0, 0, 1], mesh, nodes }, 150, 100)).toBeUndefined()
  })
})
