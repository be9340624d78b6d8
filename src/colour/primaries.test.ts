import { describe, expect, it } from 'vitest'
import type { PrimariesName } from '../core/index.js'
import { lumaWeights } from './matrices.js'
import { multiply3 } from './matrix3.js'
import { adaptation, chromaticities, conversion, luminanceRow, rgbToXyz } from './primaries.js'

function near(actual: readonly number[], expected: readonly number[], tolerance: number) {
  expect(actual).toHaveLength(expected.length)
  actual.forEach((v, i) => {
    expect(Math.abs(v - expected[i]!)).toBeLessThan(tolerance)
  })
}

const names = [...Object.keys(chromaticities), 'xyz'] as PrimariesName[]

describe('primaries', () => {
  it('give the XYZ matrices of colour-science 0.4.6 (SMPTE RP 177 derivation)', () => {
    const tables: [PrimariesName, number[]][] = [
      [
        'bt709',
        [
          0.4123908, 0.35758434, 0.18048079, 0.21263901, 0.71516868, 0.07219232, 0.01933082, 0.11919478,
          0.95053215,
        ],
      ],
      [
        'bt2020',
        [0.63695805, 0.1446169, 0.16888098, 0.26270021, 0.67799807, 0.05930172, 0, 0.02807269, 1.06098506],
      ],
      [
        'p3-d65',
        [0.48657095, 0.26566769, 0.19821729, 0.22897456, 0.69173852, 0.07928691, 0, 0.04511338, 1.04394437],
      ],
      [
        'p3-dci',
        [0.44516982, 0.27713441, 0.17228267, 0.20949168, 0.72159525, 0.06891307, 0, 0.04706056, 0.90735539],
      ],
      ['aces-ap0', [0.9525524, 0, 9.368e-5, 0.34396645, 0.7281661, -0.07213255, 0, 0, 1.00882518]],
      [
        'aces-ap1',
        [
          0.66245418, 0.13400421, 0.15618769, 0.27222872, 0.67408177, 0.05368952, -0.00557465, 0.00406073,
          1.0103391,
        ],
      ],
    ]
    for (const [name, m] of tables) near(rgbToXyz(name), m, 1e-7)
    near(luminanceRow('aces-ap1'), [0.27222872, 0.67408177, 0.05368952], 1e-7)
  })

  it('convert as BT.2087 (709 → 2020) and S-2014-004 (AP0 → AP1) print', () => {
    near(
      conversion('bt709', 'bt2020'),
      [0.627404, 0.329283, 0.043313, 0.069097, 0.91954, 0.011362, 0.016391, 0.088013, 0.895595],
      1e-6,
    )
    near(
      conversion('aces-ap0', 'aces-ap1'),
      [1.451439, -0.236511, -0.214929, -0.076554, 1.17623, -0.099676, 0.008316, -0.006032, 0.997716],
      1e-6,
    )
  })

  it('adapt by Bradford as colour-science 0.4.6 does, D65 to D50 and to the ACES white', () => {
    near(
      adaptation([0.3127, 0.329], [0.3457, 0.3585]),
      [
        1.04792979, 0.02294687, -0.05019227, 0.02962781, 0.99043443, -0.0170738, -0.00924304, 0.01505519,
        0.75187428,
      ],
      2e-4,
    )
    near(
      adaptation([0.3127, 0.329], [0.32168, 0.33767]),
      [
        1.01303491, 0.00610526, -0.01497094, 0.00769823, 0.99816335, -0.00503204, -0.00284132, 0.00468516,
        0.92450614,
      ],
      2e-4,
    )
  })

  it.each(names)(
    '%s: white stays white, there and back is nothing, to itself is exactly the identity',
    (name) => {
      expect(conversion(name, name)).toEqual([1, 0, 0, 0, 1, 0, 0, 0, 1])
      const there = conversion(name, 'bt2020')
      near(multiply3(conversion('bt2020', name), there), [1, 0, 0, 0, 1, 0, 0, 0, 1], 1e-12)
      if (name === 'xyz') return
      for (const row of [0, 3, 6]) expect(there[row]! + there[row + 1]! + there[row + 2]!).toBeCloseTo(1, 12)
    },
  )

  it('luma weights round the luminance of their primaries (BT.709, BT.2020)', () => {
    expect(luminanceRow('bt709')[0]).toBeCloseTo(lumaWeights.bt709.kr, 4)
    expect(luminanceRow('bt2020')[2]).toBeCloseTo(lumaWeights.bt2020.kb, 4)
    expect(lumaWeights.bt601).toEqual({ kr: 0.299, kb: 0.114 })
  })
})
