import { describe, expect, it } from 'vitest'
import { applyGain, applyMatrix } from './apply.js'

const image = (...v: number[]) => ({
  region: { x: 3, y: 4, width: v.length / 4, height: 1 },
  data: Float32Array.from(v),
})

describe('linear operations', () => {
  it('multiply colour by rows of the matrix and leave alpha', () => {
    const a = image(1, 2, 3, 0.5, -1, 0, 4, 2)
    applyMatrix(a, [1, 0, 1, 0, 2, 0, 1, 1, 1])
    expect([...a.data]).toEqual([4, 4, 6, 0.5, 3, 0, 3, 2])
  })

  it('white of BT.709 goes to white of BT.2020 (BT.2087)', () => {
    const a = image(1, 1, 1, 1)
    applyMatrix(a, [0.6274, 0.3293, 0.0433, 0.0691, 0.9195, 0.0114, 0.0164, 0.088, 0.8956])
    for (const v of a.data) expect(v).toBeCloseTo(1, 6)
  })

  it('gain by channel, NaN stays in its own', () => {
    const a = image(1, Number.NaN, 3, 0.5)
    applyGain(a, [2, 3, 4])
    expect([...a.data]).toEqual([2, Number.NaN, 12, 0.5])
  })
})
