import { describe, expect, it } from 'vitest'
import { askOpenColourIo, noOpenColourIo, openColourIo } from '../../../test/colour/openColourIo.js'
import type { Rgb } from '../../core/index.js'
import { applyCdl, type CdlForm, type CdlValues, cdl } from './model.js'

const strong: CdlValues = {
  slope: [1.35, 1.1, 0.071],
  offset: [0.05, -0.23, 0.11],
  power: [0.93, 0.81, 1.27],
  saturation: 1.23,
}
const mild: CdlValues = {
  slope: [1.1, 1, 0.9],
  offset: [0.01, 0, -0.02],
  power: [1, 0.95, 1.05],
  saturation: 0.85,
}

function near(got: Rgb, want: readonly number[], digits: number): void {
  got.forEach((v, i) => {
    expect(v).toBeCloseTo(want[i]!, digits)
  })
}

describe('slope, offset, power and saturation', () => {
  it.each<[Rgb, Rgb, Rgb]>([
    [
      [0.3278, 0.01, 1],
      [0.609399, 0, 0.11313],
      [0.645424, -0.260548, 0.149154],
    ],
    [
      [0.25, 0.5, 0.75],
      [0.422056, 0.401466, 0.03582],
      [0.422056, 0.401466, 0.03582],
    ],
    [
      [1.25, 1.5, 1.75],
      [1, 1, 0],
      [1.753162, 1.33113, -0.108181],
    ],
    [
      [-0.2, 0.5, 1.4],
      [0, 0.421096, 0.101225],
      [-0.327485, 0.431854, 0.111983],
    ],
  ])(
    '%j: values of an independent implementation, printed in the tests of OpenColorIO',
    (input, standard, unclamped) => {
      near(cdl(strong)(input), standard, 5)
      near(cdl(strong, 'unclamped')(input), unclamped, 5)
    },
  )

  it.each<[number, Rgb, Rgb]>([
    [0.18, [0.205867, 0.195764, 0.138544], [0.205867, 0.195764, 0.138544]],
    [0.5, [0.553854, 0.517842, 0.428252], [0.553854, 0.517842, 0.428252]],
    [1, [0.99864, 0.99864, 0.891874], [1.095648, 1.002148, 0.895382]],
  ])('grey of %f, run in OpenColorIO 2.1', (grey, standard, unclamped) => {
    near(cdl(mild)([grey, grey, grey]), standard, 5)
    near(cdl(mild, 'unclamped')([grey, grey, grey]), unclamped, 5)
  })

  it('does nothing to colours in 0…1 when neutral, holds the rest by the standard, keeps it unclamped', () => {
    const neutral: CdlValues = { slope: [1, 1, 1], offset: [0, 0, 0], power: [1, 1, 1], saturation: 1 }
    near(cdl(neutral)([0.1, 0.7, 1]), [0.1, 0.7, 1], 15)
    near(cdl(neutral)([-0.1, 7, 1]), [0, 1, 1], 15)
    near(cdl(neutral, 'unclamped')([-0.1, 7, 1]), [-0.1, 7, 1], 12)
    const grey = cdl({ ...neutral, saturation: 0 })([0.1, 0.2, 0.3])
    near(grey, [0.18596, 0.18596, 0.18596], 12) // by hand: 0.02126 + 0.14304 + 0.02166
    expect(cdl(neutral)([Number.NaN, 0, 0])[0]).toBeNaN()
  })

  it('leaves alpha as it is, in place', () => {
    const data = Float32Array.of(0.5, 0.5, 0.5, 0.25, 0.18, 0.18, 0.18, 7)
    applyCdl(data, mild)
    expect([data[3], data[7]]).toEqual([0.25, 7])
    expect(data[4]).toBeCloseTo(0.205867, 5)
  })

  it.skipIf(openColourIo === undefined)(
    `1,000 random colours and decisions as OpenColorIO has them (${noOpenColourIo})`,
    () => {
      let seed = 7
      const chance = () => {
        seed = (seed * 48271) % 2147483647 // minimal standard generator of Park and Miller
        return seed / 2147483647
      }
      const cases = Array.from({ length: 1000 }, () => ({
        values: {
          slope: [2 * chance(), 2 * chance(), 2 * chance()],
          offset: [chance() - 0.5, chance() - 0.5, chance() - 0.5],
          power: [0.4 + 2 * chance(), 0.4 + 2 * chance(), 0.4 + 2 * chance()],
          saturation: 2 * chance(),
        },
        rgb: [3 * chance() - 1, 3 * chance() - 1, 3 * chance() - 1],
      }))
      const answers = askOpenColourIo<Record<CdlForm, number[][]>>(
        `
def all(style):
    out = []
    for c in job:
        v = c['values']
        t = O.CDLTransform(v['slope'], v['offset'], v['power'], v['saturation'])
        t.setStyle(style)
        out.append(run(t, [c['rgb']])[0])
    return out
print(json.dumps({'standard': all(O.CDL_ASC), 'unclamped': all(O.CDL_NO_CLAMP)}))`,
        cases,
      )
      for (const form of ['standard', 'unclamped'] as const) {
        cases.forEach(({ values, rgb }, i) => {
          const got = cdl(values as unknown as CdlValues, form)(rgb as unknown as Rgb)
          got.forEach((v, c) => {
            const want = answers[form][i]![c]!
            expect(Math.abs(v - want)).toBeLessThan(3e-5 * Math.max(1, Math.abs(want))) // its fast power keeps 5 digits
          })
        })
      }
    },
  )
})
