import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { type Distortion, distort, undistort } from './model.js'

describe('distortion', () => {
  // A general vision library's projection of (0.5, 0.3, 1), f = 1000 px, centre (960, 540) on 1920×1080: its published order of
  // coefficients, run and written down outside this project.
  it('draws points where a reference calibration does', () => {
    const h = 540 / 1000
    const drawn = (k1: number, k2: number, p1: number, p2: number, k3: number) =>
      distort([k1 * h ** 2, k2 * h ** 4, p1 * h, p2 * h, k3 * h ** 6], 0.5 / h, 0.3 / h).map((v) => 540 * v)
    const [x, y] = drawn(-0.1, 0.02, 0, 0, 0)
    expect(x).toBeCloseTo(1444.156 - 960, 4)
    expect(y).toBeCloseTo(830.4936 - 540, 4)
    const [tx, ty] = drawn(-0.1, 0.02, 0.001, -0.0005, 0.003)
    expect(tx).toBeCloseTo(1444.094956 - 960, 5)
    expect(ty).toBeCloseTo(830.898974 - 540, 5)
  })

  // Points of real lenses by Lensfun 0.3.3 and its database, undistorted pixel to pixel of the file [lensfun-db].
  it('draws points where published lens profiles do', () => {
    // Fifth degree: a small zoom at 6.1 mm, 1601×1201, r = 1 at 600 px.
    const compact: Distortion = [-0.030571633, 0.004658548, 0, 0, 0]
    expect(800 + 600 * distort(compact, 800 / 600, 0)[0]).toBeCloseTo(1568.299, 3)
    const corner = distort(compact, 800 / 600, 1)
    expect(800 + 600 * corner[0]).toBeCloseTo(1560.8195, 3)
    expect(600 + 600 * corner[1]).toBeCloseTo(1170.6146, 3)
    // Third degree: r(1 − k + k·r²), a 35 mm lens on 1921×1281, r = 1 at 640 px; its even scale goes with the focal length.
    const k = -0.00399
    const edge = (1 - k) * distort([k / (1 - k), 0, 0, 0, 0], 1.5, 0)[0]
    expect(960 + 640 * edge).toBeCloseTo(1915.2122, 3)
  })

  it('goes back to where it came from, as long as it does not fold', () => {
    const term = (most: number) => fc.double({ min: -most, max: most, noNaN: true })
    const place = fc.double({ min: -1.2, max: 1.2, noNaN: true })
    fc.assert(
      fc.property(
        fc.tuple(term(0.05), term(0.01), term(0.005), term(0.005), term(0.002)),
        place,
        place,
        (d, x, y) => {
          const [u, v] = undistort(d, ...distort(d, x, y))
          // 1e-9 of half the short side is 5e-7 px at 1080p.
          expect(Math.hypot(u - x, v - y)).toBeLessThan(1e-9)
        },
      ),
    )
  })

  it('refuses a lens that folds the picture over', () => {
    expect(() => undistort([-0.3, 0, 0, 0, 0], 1.5, 0)).toThrow('folds the picture')
  })
})
