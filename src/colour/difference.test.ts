import { converter, differenceCiede2000 } from 'culori'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { ciede2000 } from './ciede2000.js'
import { deltaE2000, deltaE2000Image } from './difference.js'

// Sharma, Wu & Dalal 2005, Table 1: L*, a*, b* twice, then the difference.
const pairs = [
  [50.0, 2.6772, -79.7751, 50.0, 0.0, -82.7485, 2.0425],
  [50.0, 3.1571, -77.2803, 50.0, 0.0, -82.7485, 2.8615],
  [50.0, 2.8361, -74.02, 50.0, 0.0, -82.7485, 3.4412],
  [50.0, -1.3802, -84.2814, 50.0, 0.0, -82.7485, 1.0],
  [50.0, -1.1848, -84.8006, 50.0, 0.0, -82.7485, 1.0],
  [50.0, -0.9009, -85.5211, 50.0, 0.0, -82.7485, 1.0],
  [50.0, 0.0, 0.0, 50.0, -1.0, 2.0, 2.3669],
  [50.0, -1.0, 2.0, 50.0, 0.0, 0.0, 2.3669],
  [50.0, 2.49, -0.001, 50.0, -2.49, 0.0009, 7.1792],
  [50.0, 2.49, -0.001, 50.0, -2.49, 0.001, 7.1792],
  [50.0, 2.49, -0.001, 50.0, -2.49, 0.0011, 7.2195],
  [50.0, 2.49, -0.001, 50.0, -2.49, 0.0012, 7.2195],
  [50.0, -0.001, 2.49, 50.0, 0.0009, -2.49, 4.8045],
  [50.0, -0.001, 2.49, 50.0, 0.001, -2.49, 4.8045],
  [50.0, -0.001, 2.49, 50.0, 0.0011, -2.49, 4.7461],
  [50.0, 2.5, 0.0, 50.0, 0.0, -2.5, 4.3065],
  [50.0, 2.5, 0.0, 73.0, 25.0, -18.0, 27.1492],
  [50.0, 2.5, 0.0, 61.0, -5.0, 29.0, 22.8977],
  [50.0, 2.5, 0.0, 56.0, -27.0, -3.0, 31.903],
  [50.0, 2.5, 0.0, 58.0, 24.0, 15.0, 19.4535],
  [50.0, 2.5, 0.0, 50.0, 3.1736, 0.5854, 1.0],
  [50.0, 2.5, 0.0, 50.0, 3.2972, 0.0, 1.0],
  [50.0, 2.5, 0.0, 50.0, 1.8634, 0.5757, 1.0],
  [50.0, 2.5, 0.0, 50.0, 3.2592, 0.335, 1.0],
  [60.2574, -34.0099, 36.2677, 60.4626, -34.1751, 39.4387, 1.2644],
  [63.0109, -31.0961, -5.8663, 62.8187, -29.7946, -4.0864, 1.263],
  [61.2901, 3.7196, -5.3901, 61.4292, 2.248, -4.962, 1.8731],
  [35.0831, -44.1164, 3.7933, 35.0232, -40.0716, 1.5901, 1.8645],
  [22.7233, 20.0904, -46.694, 23.0331, 14.973, -42.5619, 2.0373],
  [36.4612, 47.858, 18.3852, 36.2715, 50.5065, 21.2231, 1.4146],
  [90.8027, -2.0831, 1.441, 91.1528, -1.6435, 0.0447, 1.4441],
  [90.9257, -0.5406, -0.9208, 88.6381, -0.8985, -0.7239, 1.5381],
  [6.7747, -0.2908, -2.4247, 5.8714, -0.0985, -2.2286, 0.6377],
  [2.0776, 0.0795, -1.135, 0.9033, -0.0636, -0.5514, 0.9082],
]

const unit = fc.double({ min: -0.1, max: 3, noNaN: true })

describe('CIEDE2000', () => {
  it.each(pairs)('Sharma: %f %f %f against %f %f %f is %f', (l1, a1, b1, l2, a2, b2, expected) => {
    expect(Math.abs(ciede2000([l1, a1, b1], [l2, a2, b2]) - expected)).toBeLessThan(5.1e-5)
    expect(Math.abs(ciede2000([l2, a2, b2], [l1, a1, b1]) - expected)).toBeLessThan(5.1e-5)
    const lab = (l: number, a: number, b: number) => ({ mode: 'lab65', l, a, b }) as const
    const library = differenceCiede2000()(lab(l1, a1, b1), lab(l2, a2, b2))
    expect(Math.abs(library - expected)).toBeLessThan(5.1e-5)
  })

  it('of linear BT.709 is what culori makes of its own linear sRGB', () => {
    const lab = converter('lab65')
    const oracle = differenceCiede2000()
    fc.assert(
      fc.property(unit, unit, unit, unit, unit, unit, (r, g, b, s, t, u) => {
        const expected = oracle(lab({ mode: 'lrgb', r, g, b }), lab({ mode: 'lrgb', r: s, g: t, b: u }))
        expect(Math.abs(deltaE2000([r, g, b], [s, t, u], 'bt709') - expected)).toBeLessThan(1e-3)
      }),
    )
  })

  it('of pictures equals the pair by culori to 1e-6, in every primaries', () => {
    fc.assert(
      fc.property(
        fc.array(unit, { minLength: 6, maxLength: 6 }),
        fc.constantFrom('bt709', 'bt2020', 'aces-ap1'),
        (v, p) => {
          const a = Float32Array.of(v[0]!, v[1]!, v[2]!, 1)
          const b = Float32Array.of(v[3]!, v[4]!, v[5]!, 0.5)
          const pair = deltaE2000([a[0]!, a[1]!, a[2]!], [b[0]!, b[1]!, b[2]!], p)
          expect(Math.abs(deltaE2000Image(a, b, p)[0]! - pair)).toBeLessThan(1e-6)
        },
      ),
      { numRuns: 500 },
    )
  })

  it('looks only where the mask says', () => {
    const a = Float32Array.of(0, 0, 0, 1, 1, 1, 1, 1, 0.5, 0.5, 0.5, 1)
    const b = new Float32Array(12)
    const all = deltaE2000Image(a, b, 'bt709')
    expect(all).toHaveLength(3)
    expect(deltaE2000Image(a, b, 'bt709', Uint8Array.of(0, 1, 1))).toEqual(all.slice(1))
    expect(all[0]).toBe(0)
    expect(all[1]).toBeCloseTo(100, 6)
  })
})
