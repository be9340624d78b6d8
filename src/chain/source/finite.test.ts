import { describe, expect, it } from 'vitest'
import { replaceNotFinite } from './finite.js'

const image = (width: number, height: number, data: readonly number[]) => ({
  region: { x: 0, y: 0, width, height },
  data: Float32Array.from(data),
})
const [n, inf] = [Number.NaN, Number.POSITIVE_INFINITY]

// Expected values by hand from the rule at the head of the module.
describe('numbers that are not finite', () => {
  it('become the mean of the neighbours; alone, 0, and 1 in alpha', () => {
    const row = image(3, 1, [1, 2, 3, 0.5, n, n, 4, n, 3, inf, 5, 0.75])
    const mark = new Uint8Array(3)
    expect(replaceNotFinite(row, mark)).toEqual({ nan: 3, infinite: 1 })
    expect(Array.from(row.data)).toEqual([1, 2, 3, 0.5, 2, 2, 4, 0.625, 3, 65504, 5, 0.75])
    expect(Array.from(mark)).toEqual([0, 1, 1])
    const alone = image(1, 1, [n, n, n, n])
    replaceNotFinite(alone)
    expect(Array.from(alone.data)).toEqual([0, 0, 0, 1])
  })

  it('that are infinite become the largest half, in alpha 1 or 0', () => {
    const own = image(2, 1, [inf, -inf, 0, inf, 0, 0, 0, -inf])
    replaceNotFinite(own)
    expect(Array.from(own.data)).toEqual([65504, -65504, 0, 1, 0, 0, 0, 0])
  })
})
