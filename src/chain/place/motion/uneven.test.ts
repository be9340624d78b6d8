import { expect, it } from 'vitest'
import { unevenOutwards } from './uneven.js'

it('stays as wide as it was nearer to the reference frame, but for what one frame alone shows', () => {
  const seen = new Map([
    [1, 0.5],
    [2, 0.25],
    [3, 9],
    [4, 1],
    [5, 4],
    [6, 2],
    [8, 0],
  ])
  // By hand, outwards from 4: 5 alone, then min(4, 2), then no less; inwards 9 alone, then min(9, 0.25), min(0.25, 0.5).
  expect(unevenOutwards(seen, 9, 4)).toEqual([0.25, 0.25, 0.25, 0, 0, 0, 2, 2, 2])
})
