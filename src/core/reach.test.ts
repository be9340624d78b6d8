import { describe, expect, it } from 'vitest'
import { around, chained, POINTWISE, wholeOf } from './reach.js'
import { EMPTY } from './region.js'

const r = { x: 10, y: 20, width: 3, height: 2 }

describe('reach', () => {
  it('of steps one behind the other adds up, either way', () => {
    const both = chained(around(1), POINTWISE, around(2))
    expect(both.needs(r)).toEqual({ x: 7, y: 17, width: 9, height: 8 })
    expect(both.touches(r)).toEqual(both.needs(r))
  })

  it('is asked backwards for what is needed, forwards for what is touched', () => {
    const moved = {
      needs: (a: typeof r) => ({ ...a, x: 2 * a.x }),
      touches: (a: typeof r) => ({ ...a, x: a.x / 2 }),
    }
    expect(chained(moved, around(1)).needs(r).x).toBe(18)
    expect(chained(moved, around(1)).touches(r).x).toBe(4)
  })

  it('of nothing is nothing', () => {
    for (const reach of [POINTWISE, around(5), wholeOf(r)]) {
      expect(reach.needs(EMPTY)).toEqual(EMPTY)
      expect(reach.touches(EMPTY)).toEqual(EMPTY)
    }
  })

  it('of a sum is everything', () => {
    expect(wholeOf(r).needs({ x: 10, y: 20, width: 1, height: 1 })).toEqual(r)
  })
})
