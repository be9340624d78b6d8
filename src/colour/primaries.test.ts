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

/** RGB to XYZ of makers' gamuts by colour-science 0.4.6 from their printed chromaticities. */
const cameras: readonly (readonly [PrimariesName, readonly number[]])[] = [
  [
    'arri-wide-gamut-3',
    [
      0.63800762, 0.21470386, 0.09774445, 0.29195378, 0.82384104, -0.11579482, 0.00279828, -0.06703424,
      1.15329371,
    ],
  ],
  [
    'arri-wide-gamut-4',
    [0.70485832, 0.1297603, 0.11583731, 0.25452418, 0.78147773, -0.03600191, 0, 0, 1.08905775],
  ],
  [
    's-gamut3',
    [
      0.70648271, 0.12880105, 0.11517216, 0.27097967, 0.78660641, -0.05758608, -0.00967785, 0.00460004,
      1.09413556,
    ],
  ],
  [
    's-gamut3-cine',
    [
      0.59908392, 0.24892552, 0.10244649, 0.21507582, 0.8850685, -0.10014432, -0.03206585, -0.02765839,
      1.14878199,
    ],
  ],
  [
    'v-gamut',
    [
      0.67964447, 0.15221141, 0.11860004, 0.26068555, 0.77489446, -0.03558001, -0.0093102, -0.00461247,
      1.10298042,
    ],
  ],
  [
    'cinema-gamut',
    [
      0.71604965, 0.12968348, 0.1047228, 0.26126136, 0.86964215, -0.1309035, -0.00967635, -0.23648164,
      1.33521573,
    ],
  ],
  [
    'red-wide-gamut',
    [
      0.73527525, 0.06860941, 0.14657127, 0.2866941, 0.84297913, -0.12967323, -0.07968086, -0.34734322,
      1.51608182,
    ],
  ],
  [
    'd-gamut',
    [
      0.64817197, 0.19405815, 0.10822581, 0.28300466, 0.81319606, -0.09620072, -0.01825837, -0.08316778,
      1.19048389,
    ],
  ],
  [
    'gen5-wide-gamut',
    [
      0.60653037, 0.2204081, 0.123479, 0.26798941, 0.83273088, -0.10072029, -0.02944217, -0.08661061,
      1.20486076,
    ],
  ],
]

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
    for (const [name, m] of cameras) near(rgbToXyz(name), m, 1e-7)
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

  it('adapt by CAT02 as colour-science 0.4.6 does, and A to D65 by both', () => {
    near(
      adaptation([0.3127, 0.329], [0.3457, 0.3585], 'cat02'),
      [
        1.04257389, 0.03089108, -0.05281257, 0.02219345, 1.00185663, -0.02107375, -0.00116488, -0.00342053,
        0.76178908,
      ],
      2e-4,
    )
    near(
      adaptation([0.3127, 0.329], [0.32168, 0.33767], 'cat02'),
      [
        1.01195935, 0.00800797, -0.01577938, 0.00577108, 1.00136202, -0.00628724, -0.00033762, -0.00104661,
        0.92758414,
      ],
      2e-4,
    )
    const illuminantA = [0.44757, 0.40745] as const
    near(
      adaptation(illuminantA, [0.3127, 0.329]),
      [
        0.84468001, -0.11793686, 0.39497316, -0.13663386, 1.10410746, 0.12922217, 0.0798857, -0.13496444,
        3.19336046,
      ],
      1e-3,
    )
    near(
      adaptation(illuminantA, [0.3127, 0.329], 'cat02'),
      [
        0.86875797, -0.14164574, 0.38727284, -0.10300213, 1.05838505, 0.15389483, 0.00781798, 0.02679354,
        2.9612392,
      ],
      1e-3,
    )
  })

  it('go to AP0 as the makers print it in the Academy’s transforms, by CAT02', () => {
    // IDT.Sony.SLog3_SGamut3.ctl, IDT.Sony.SLog3_SGamut3Cine.ctl (columns there are rows here), idt-alexav3-logC-EI800.ctl
    near(
      conversion('s-gamut3', 'aces-ap0', 'cat02'),
      [
        0.7529825954, 0.1433702162, 0.1036471884, 0.0217076974, 1.0153188355, -0.0370265329, -0.0094160528,
        0.0033704179, 1.0060456349,
      ],
      1e-6,
    )
    near(
      conversion('s-gamut3-cine', 'aces-ap0', 'cat02'),
      [
        0.6387886672, 0.2723514337, 0.0888598991, -0.003915906, 1.0880732309, -0.0841573249, -0.0299072021,
        -0.0264325799, 1.056339782,
      ],
      1e-6,
    )
    near(
      conversion('arri-wide-gamut-3', 'aces-ap0', 'cat02'),
      [0.680206, 0.236137, 0.083658, 0.085415, 1.017471, -0.102886, 0.002057, -0.062563, 1.060506],
      2e-4,
    )
    // ACEScsc.Academy.ACES_to_CLog3_CGamut.ctl
    near(
      conversion('aces-ap0', 'cinema-gamut', 'cat02'),
      [
        1.310079315, -0.198398113, -0.111681202, -0.003385627, 0.920234663, 0.083150964, 0.009436126,
        0.162159018, 0.828404856,
      ],
      2e-4,
    )
  })

  it('of F-Gamut are those of BT.2020 (data sheet, from memory)', () => {
    near(conversion('f-gamut', 'bt2020'), [1, 0, 0, 0, 1, 0, 0, 0, 1], 1e-12)
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
