import { describe, expect, it } from 'vitest'
import { sharesOf, takenAt, widened } from './weigh.js'

describe('what a mark has to say beside the others', () => {
  it('counts a window that nobody shares whole, and two in one place half each', () => {
    const at = (x: number, window = 21) => ({ from: [x, 50] as const, look: { window } })
    expect(sharesOf([at(0), at(100)])).toEqual([1, 1])
    expect(sharesOf([at(0), at(0)])).toEqual([0.5, 0.5])
    // Half of it is shared: 1 + ½ looks at it.
    expect(sharesOf([at(0, 20), at(10, 20)])).toEqual([2 / 3, 2 / 3])
    // A small one within a large one: nine windows of its size are the large one's.
    expect(sharesOf([at(0, 20), at(0, 60)])).toEqual([0.5, expect.closeTo(0.9, 9)])
  })

  it('lets marks that were taken on one frame say no more of where they lie than one of them', () => {
    const on = (frame: number, fromSpread: number) => ({ fromSpread, look: { frame } })
    expect(takenAt([on(0, 0), on(9, 0.5), on(9, 0.5), on(12, 0.5)], [1, 1, 1, 0.2])).toEqual([
      0, 0.5, 0.5, 0.25,
    ])
  })

  it('adds variances along both axes', () => {
    // Along x ± 0.1 px, along y ± 0.5 px.
    const mark = { spread: 0.5, weighing: { shape: [25, 0, 1] as const, share: 1 } }
    const wide = widened(mark, 0.2 ** 2)
    expect(wide.spread).toBeCloseTo(Math.sqrt(0.29), 9)
    expect(wide.weighing.shape[0] / wide.spread ** 2).toBeCloseTo(1 / 0.05, 9)
    expect(wide.weighing.shape[2] / wide.spread ** 2).toBeCloseTo(1 / 0.29, 9)
    expect(widened(mark, 0)).toEqual(mark)
  })
})
