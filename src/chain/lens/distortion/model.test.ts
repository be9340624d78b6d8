import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { type DistortionForm, distortionForms, distortionWays } from './model.js'
import { distortionParams } from './params.js'

const ways = (form: DistortionForm, ...terms: number[]) => distortionWays({ form, terms })

const formulas = distortionForms.filter((f) => f !== 'map')

describe('distortion', () => {
  // A general vision library's projection of (0.5, 0.3, 1), f = 1000 px, centre (960, 540) on 1920×1080: its published order of
  // coefficients, run and written down outside this project.
  it('draws points where a reference calibration does', () => {
    const h = 540 / 1000
    const drawn = (k1: number, k2: number, p1: number, p2: number, k3: number) =>
      ways('brown-conrady', k1 * h ** 2, k2 * h ** 4, p1 * h, p2 * h, k3 * h ** 6)
        .distort(0.5 / h, 0.3 / h)
        .map((v) => 540 * v)
    const [x, y] = drawn(-0.1, 0.02, 0, 0, 0)
    expect(x).toBeCloseTo(1444.156 - 960, 4)
    expect(y).toBeCloseTo(830.4936 - 540, 4)
    const [tx, ty] = drawn(-0.1, 0.02, 0.001, -0.0005, 0.003)
    expect(tx).toBeCloseTo(1444.094956 - 960, 5)
    expect(ty).toBeCloseTo(830.898974 - 540, 5)
  })

  // Points of real lenses by Lensfun 0.3.3 and its database, undistorted pixel to pixel of the file [lensfun-db]: 1921×1281 with
  // r = 1 at 640 px, 1601×1201 with r = 1 at 600 px, numbers of lenses at their own crop.
  it.each([
    [
      '50 mm f/1.8',
      'ptlens',
      [0.00163, -0.01449, 0.01568],
      640,
      [
        [960, 0, 953.8549, 0],
        [960, 640, 948.3889, 632.2593],
      ],
    ],
    [
      '35 mm f/2',
      'ptlens',
      [0.00786, -0.02862, 0.01911],
      640,
      [
        [960, 0, 952.7496, 0],
        [960, 640, 949.5725, 633.0483],
      ],
    ],
    [
      '24-70 mm at 24',
      'ptlens',
      [0.02964, -0.07853, 0.02943],
      640,
      [
        [960, 0, 947.4696, 0],
        [960, 640, 951.3164, 634.2109],
      ],
    ],
    ['35 mm f/1.4', 'poly3', [-0.00399], 640, [[960, 0, 955.2122, 0]]],
    [
      'small zoom at 6.1',
      'poly5',
      [-0.030571633, 0.004658548],
      600,
      [
        [800, 0, 768.299, 0],
        [800, 600, 760.8195, 570.6146],
      ],
    ],
  ] as const)('draws points where the published profile of a %s does', (_, form, terms, unit, points) => {
    const { distort, undistort } = ways(form, ...terms)
    for (const [x, y, wantedX, wantedY] of points) {
      const [u, v] = distort(x / unit, y / unit)
      expect(Math.abs(unit * u - wantedX)).toBeLessThan(1e-3)
      expect(Math.abs(unit * v - wantedY)).toBeLessThan(1e-3)
      const [backX, backY] = undistort(wantedX / unit, wantedY / unit)
      expect(Math.hypot(unit * backX - x, unit * backY - y)).toBeLessThan(2e-3)
    }
  })

  // By hand: r_d = 0.5, λ1 = 0.2: r = 0.5 / 1.05; λ2 = −0.4: r = 0.5 / (1.05 − 0.025).
  it('divides by what the division model says', () => {
    expect(ways('division', 0.2, 0).undistort(0.3, 0.4)[0]).toBeCloseTo(0.3 / 1.05, 12)
    expect(ways('division', 0.2, -0.4).undistort(0.3, 0.4)[1]).toBeCloseTo(0.4 / 1.025, 12)
  })

  it('goes back to where it came from, as long as it does not fold', () => {
    const term = (most: number) => fc.double({ min: -most, max: most, noNaN: true })
    const place = fc.double({ min: -1.2, max: 1.2, noNaN: true })
    fc.assert(
      fc.property(
        fc.constantFrom(...formulas),
        fc.tuple(term(0.05), term(0.01), term(0.005), term(0.005), term(0.002)),
        place,
        place,
        (form, d, x, y) => {
          const { count } = distortionParams[0]!.forms!.find((f) => f.name === form)!
          const { distort, undistort } = ways(form, ...d.slice(0, count))
          const [u, v] = undistort(...distort(x, y))
          // 1e-9 of half the short side is 5e-7 px at 1080p.
          expect(Math.hypot(u - x, v - y)).toBeLessThan(1e-9)
        },
      ),
    )
  })

  it('is the identity with numbers of 0, in the middle too', () => {
    for (const form of distortionForms) {
      const { count } = distortionParams[0]!.forms!.find((f) => f.name === form)!
      const { distort, undistort } = ways(form, ...new Array<number>(count).fill(0))
      for (const way of [distort, undistort]) {
        expect(way(0, 0)).toEqual([0, 0])
        expect(way(0.75, -0.5)).toEqual([0.75, -0.5])
      }
    }
  })

  it.each([
    ['brown-conrady', [-0.3, 0, 0, 0, 0]],
    ['poly3', [-0.3]],
    ['poly5', [-0.3, 0]],
    ['ptlens', [0, 0, -0.6]],
  ] as const)('refuses a lens that folds the picture over: %s', (form, terms) => {
    expect(() => ways(form, ...terms).undistort(1.9, 0)).toThrow('folds the picture')
  })
})
