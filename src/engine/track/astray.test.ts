import { describe, expect, it } from 'vitest'
import { astrayOf } from './astray.js'

const one = { agrees: true, known: true, share: 1, off: 0.1 }

describe('marks that went with the others before and go another way', () => {
  // By hand: 1.5 of 3.5 go; mean square (9 + ½·16) / 1.5 along both axes, half of it along one.
  it('are counted by their share', () => {
    const gone = [
      { agrees: false, known: true, share: 1, off: 3 },
      { agrees: false, known: true, share: 0.5, off: 4 },
    ]
    const { share, rmsPx } = astrayOf([one, one, ...gone])
    expect(share).toBeCloseTo(1.5 / 3.5, 12)
    expect(rmsPx).toBeCloseTo(Math.sqrt(17 / 1.5 / 2), 12)
  })

  it('are none where they never went with the others, or all go', () => {
    expect(astrayOf([one, { ...one, agrees: false, known: false, off: 9 }])).toEqual({ share: 0, rmsPx: 0 })
    expect(astrayOf([])).toEqual({ share: 0, rmsPx: 0 })
  })
})
