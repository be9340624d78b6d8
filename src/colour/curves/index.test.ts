import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { type CurveName, curveNames } from '../../core/index.js'
import { rgbToXyz } from '../primaries.js'
import { bt1886Luminance } from './display.js'
import { curveOf, curves } from './index.js'

const names = Object.keys(curves) as CurveName[]
/** Display curves and the standards' camera curves: what is beyond 0 is their mirror image. */
const odd = [
  'linear',
  'srgb',
  'bt709',
  'bt1886',
  'gamma22',
  'gamma24',
  'gamma26',
  'gamma28',
  'pq',
  'hlg',
] as const

describe('published points', () => {
  it('sRGB: IEC 61966-2-1, values as culori and colorjs.io give them', () => {
    const { encode, decode } = curveOf('srgb')
    expect(encode(0.001)).toBeCloseTo(0.01292, 6)
    expect(encode(0.0031308)).toBeCloseTo(0.04044994, 6)
    expect(encode(0.18)).toBeCloseTo(0.46135613, 6)
    expect(encode(0.5)).toBeCloseTo(0.73535698, 6)
    expect(decode(0.5)).toBeCloseTo(0.2140411, 6)
  })

  it('BT.709 with the exact constants of BT.2020: culori rec2020', () => {
    expect(curveOf('bt709').encode(0.18)).toBeCloseTo(0.4088481, 6)
    // BT.709-6 item 1.2: the printed, rounded constants lie within 2e-4.
    expect(Math.abs(curveOf('bt709').encode(0.18) - (1.099 * 0.18 ** 0.45 - 0.099))).toBeLessThan(2e-4)
  })

  it('PQ: SMPTE ST 2084, values of colour-science 0.4.6, agreed by OpenColorIO', () => {
    const nits = [0, 0.1, 1, 10, 100, 203, 1000, 4000, 10000]
    const codes = [
      7.3e-7, 0.06233687, 0.14994573, 0.29969909, 0.50807842, 0.58068888, 0.7518271, 0.90257239, 1,
    ]
    nits.forEach((n, i) => {
      expect(curveOf('pq').encode(n / 203)).toBeCloseTo(codes[i]!, 7)
    })
    expect(curveOf('pq').decode(0.5806888810416109)).toBeCloseTo(1, 8)
  })

  it('HLG: BT.2100, values of colour-science 0.4.6; 75 % is diffuse white (BT.2408)', () => {
    const white = 0.26496256
    const e = [0, 0.001, 1 / 12, 0.18, 0.26496, 0.5, 1]
    const codes = [0, 0.05477226, 0.5, 0.67235813, 0.7499981, 0.87164347, 1]
    e.forEach((v, i) => {
      expect(curveOf('hlg').encode(v / white)).toBeCloseTo(codes[i]!, 6)
    })
    expect(curveOf('hlg').decode(0.75)).toBeCloseTo(1, 12)
  })

  it('BT.1886 Annex 1 with black 0 and the pure powers: colour-science 0.4.6', () => {
    const light = [0, 0.0039810717, 0.0358968236, 0.1894645708, 1]
    ;[0, 0.1, 0.25, 0.5, 1].forEach((v, i) => {
      expect(curveOf('bt1886').decode(v)).toBeCloseTo(light[i]!, 8)
    })
    expect(curveOf('gamma24').decode(0.5)).toBeCloseTo(0.189465, 6)
    expect(curveOf('gamma26').decode(0.5)).toBeCloseTo(0.164938, 6)
    // By hand: 2^−2.2, 2^−2.8.
    expect(curveOf('gamma22').decode(0.5)).toBeCloseTo(0.217638, 6)
    expect(curveOf('gamma28').decode(0.5)).toBeCloseTo(0.143587, 6)
  })

  it('BT.1886 Annex 1 on a display of 100 cd/m² with black 0 and 0.1: colour-science 0.4.6', () => {
    const codes = [0, 0.1, 0.25, 0.5, 1]
    for (const [black, light] of [
      [0, [0, 0.39810717, 3.58968236, 18.94645708, 100]],
      [0.1, [0.1, 1.06378563, 5.21849732, 21.60491117, 100]],
    ] as const) {
      codes.forEach((code, i) => {
        expect(bt1886Luminance(100, black)(code)).toBeCloseTo(light[i]!, 7)
      })
    }
    for (const code of codes) expect(bt1886Luminance(1, 0)(code)).toBe(curveOf('bt1886').decode(code))
  })

  it('gamma 2.6: DCI white of 48 cd/m² in the X′Y′Z′ codes of the DCI specification (from memory)', () => {
    const m = rgbToXyz('p3-dci')
    const white = [0, 3, 6].map((row) => m[row]! + m[row + 1]! + m[row + 2]!)
    const codes = white.map((v) => Math.round(4095 * curveOf('gamma26').encode((v * 48) / 52.37)))
    expect(codes).toEqual([3794, 3960, 3890])
  })
})

it.each(odd)('%s is odd', (name) => {
  const { decode, encode } = curveOf(name)
  expect(decode(-0.3)).toBe(-decode(0.3))
  expect(encode(-0.3)).toBe(-encode(0.3))
})

it('every name of an encoding has its record, and every record its name', () => {
  expect(names.sort()).toEqual([...curveNames].sort())
})

describe.each(names)('%s', (name) => {
  const { decode, encode, greyCode } = curveOf(name)

  it('returns every code it was given, below 0 and above 1 included', () => {
    fc.assert(
      fc.property(fc.double({ min: -1.2, max: 1.2, noNaN: true }), (code) => {
        // PQ gives no light between codes −7.3e-7 and 7.3e-7, its code of 0 (and D-Log's pieces miss each other by 2e-6).
        const hole = name === 'pq' && Math.abs(code) < 1e-6
        const gap = name === 'd-log' && code > 0.139894 && code < 0.139898
        expect(Math.abs(encode(decode(code)) - code)).toBeLessThan(hole || gap ? 2.1e-6 : 1e-6)
      }),
      { numRuns: 500 },
    )
  })

  it('returns every light it was given', () => {
    fc.assert(
      fc.property(fc.double({ min: -40, max: 40, noNaN: true }), (light) => {
        expect(Math.abs(decode(encode(light)) - light)).toBeLessThan(1e-6 * (1 + Math.abs(light)))
      }),
      { numRuns: 500 },
    )
  })

  it('never falls, and passes NaN and infinity', () => {
    let before = decode(-1.5)
    for (let i = -1499; i <= 1500; i++) {
      const now = decode(i / 1000)
      expect(now).toBeGreaterThanOrEqual(before)
      before = now
    }
    expect(decode(Number.NaN)).toBeNaN()
    expect(encode(Number.NaN)).toBeNaN()
    expect(decode(Number.POSITIVE_INFINITY)).toBe(Number.POSITIVE_INFINITY)
    expect(encode(Number.POSITIVE_INFINITY)).toBeGreaterThan(1)
  })

  it('knows its grey code and its own name', () => {
    expect(decode(greyCode)).toBeCloseTo(0.18, 9)
    expect(curveOf(name).name).toBe(name)
  })
})
