import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { type Curve, curves } from '../../colour/index.js'
import type { FloatImage } from '../../core/index.js'
import { applyCurve } from './apply.js'
import { type CurveTable, curveTable } from './table.js'

function through(table: CurveTable, values: readonly number[]): number[] {
  const image: FloatImage = {
    region: { x: 0, y: 0, width: values.length, height: 1 },
    data: new Float32Array(4 * values.length),
  }
  values.forEach((v, i) => {
    image.data.set([v, v, v, v], 4 * i)
  })
  applyCurve(image, table)
  values.forEach((v, i) => {
    expect(Object.is(image.data[4 * i + 3], Math.fround(v))).toBe(true)
  })
  return values.map((_, i) => image.data[4 * i + 1])
}

describe.each(Object.values(curves))('$name', (curve: Curve) => {
  const decode = curveTable(curve.decode)
  const encode = curveTable(curve.encode)

  it('lies within 1e-5 of the function, from tiny to far above 1, on both sides', () => {
    fc.assert(
      fc.property(fc.double({ min: -30, max: 1, noNaN: true }), fc.boolean(), (octave, negative) => {
        const x = Math.fround((negative ? -1.2 : 1.2) * 2 ** octave)
        for (const [table, fn] of [
          [decode, curve.decode],
          [encode, curve.encode],
        ] as const) {
          const near = fn(Math.min(Math.max(x, -1.25), 1.25))
          const [got] = through(table, [Math.min(Math.max(x, -1.25), 1.25)])
          // PQ falls to 0 at a code of 7e-7: there a relative error means nothing. D-Log steps by 2e-6 at its cut.
          const step = curve.name === 'd-log' ? 2.1e-6 : 0
          expect(Math.abs(got - near)).toBeLessThan(1e-5 * Math.abs(near) + 1e-8 + step)
        }
      }),
      { numRuns: 3000 },
    )
  })

  it('brings every code of 8, 10 and 12 bits back within 0.02', () => {
    for (const bits of [8, 10, 12]) {
      const top = 2 ** bits - 1
      const codes = Array.from({ length: top + 1 }, (_, i) => i / top)
      through(encode, through(decode, codes)).forEach((v, i) => {
        expect(Math.abs(v * top - i)).toBeLessThan(0.02)
      })
    }
  })
})

describe('applyCurve', () => {
  it('passes 0, NaN, infinities, denormals and the largest floats', () => {
    const table = curveTable((x) => 2 * x)
    const odd = [0, Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY, 1e-40, 1e38]
    const got = through(table, odd)
    expect(got.slice(0, 4)).toEqual(odd.slice(0, 4))
    expect(got[4]).toBe(2 * Math.fround(1e-40))
    expect(got[5]).toBe(Math.fround(2 * Math.fround(1e38)))
  })

  it('takes a table a channel, each the same as alone', () => {
    const tables = [2, 3, 5].map((k) => curveTable((x) => k * x ** 3))
    const values = [-1.5, -0.2, 0, 0.01, 0.7, 3]
    const image = (): FloatImage => ({
      region: { x: 0, y: 0, width: values.length, height: 1 },
      data: Float32Array.from(values.flatMap((v) => [v, v, v, v])),
    })
    const whole = image()
    applyCurve(whole, [tables[0] as CurveTable, tables[1] as CurveTable, tables[2] as CurveTable])
    tables.forEach((table, c) => {
      const alone = image()
      applyCurve(alone, table)
      values.forEach((v, i) => {
        expect(whole.data[4 * i + c]).toBe(alone.data[4 * i + c])
        expect(whole.data[4 * i + 3]).toBe(Math.fround(v))
      })
    })
  })
})
