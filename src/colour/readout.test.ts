import { describe, expect, it } from 'vitest'
import { sdr } from '../../test/encodings.js'
import type { Rgb } from '../core/index.js'
import { curveOf } from './curves/index.js'
import { readout } from './readout.js'

const ten = { bits: 10, float: false }

describe('readout', () => {
  it('says white and black as the standard codes them: 940 and 64 of ten bits (ITU-R BT.709 table 3)', () => {
    expect(readout([1, 1, 1], sdr, ten).code).toEqual([940, 940, 940])
    expect(readout([0, 0, 0], sdr, ten).code).toEqual([64, 64, 64])
    expect(readout([1, 0, 0], { ...sdr, range: 'full' }, { bits: 8, float: false }).code).toEqual([255, 0, 0])
  })

  it('says diffuse white of PQ as 58 % (ITU-R BT.2408 table 1)', () => {
    const [code] = readout([1, 1, 1], { ...sdr, curve: 'pq' }, ten).code
    expect((code - 64) / 876).toBeCloseTo(0.58, 2)
  })

  it('counts stops from 18 %, and none where there is no light', () => {
    expect(readout([0.18, 0.36, 0], sdr, ten).stops).toEqual([0, 1, null])
  })

  it('gives light itself as the code of a float file', () => {
    expect(readout([0.25, 4, -1], { ...sdr, curve: 'linear' }, { bits: 32, float: true }).code).toEqual([
      0.25, 4, -1,
    ])
  })

  it.each([
    ['red', [1, 0, 0], [0, 1, 1]],
    ['yellow', [1, 1, 0], [60, 1, 1]],
    ['half cyan', [0, 0.5, 0.5], [180, 1, 0.5]],
    ['pink', [1, 0.5, 0.75], [330, 0.5, 1]],
    ['grey', [0.5, 0.5, 0.5], [0, 0, 0.5]],
  ] as const)('gives the hexcone of %s (corners of the cone in Smith 1978)', (_, shares, hsb) => {
    const { decode } = curveOf('bt709')
    const light = shares.map(decode) as unknown as Rgb
    readout(light, sdr, ten).hsb.forEach((v, i) => {
      expect(v).toBeCloseTo(hsb[i] as number, 6)
    })
  })
})
