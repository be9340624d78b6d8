import { expect, it } from 'vitest'
import { areasOf, COVERED, FREE, OUTSIDE } from './areas.js'

it('are filled by the middles of pixels, what is covered over what is outside', () => {
  const square = [
    [1, 1],
    [4, 1],
    [4, 3],
    [1, 3],
  ] as const
  const areas = areasOf(
    { width: 5, height: 4 },
    [square],
    [
      [
        [0, 0],
        [2, 0],
        [2, 2],
        [0, 2],
      ],
    ],
  ) as Uint8Array
  const rows = [0, 1, 2, 3].map((y) => [...areas.subarray(5 * y, 5 * y + 5)])
  const [f, o, c] = [FREE, OUTSIDE, COVERED]
  expect(rows).toEqual([
    [c, c, f, f, f],
    [c, c, o, o, f],
    [f, o, o, o, f],
    [f, f, f, f, f],
  ])
  expect(areasOf({ width: 5, height: 4 }, [], [])).toBeUndefined()
})

it('reach beyond the picture, and hold holes by even and odd', () => {
  const large = [
    [-9, -9],
    [99, -9],
    [99, 99],
    [-9, 99],
  ] as const
  expect([...(areasOf({ width: 3, height: 2 }, [large], []) as Uint8Array)]).toEqual(Array(6).fill(OUTSIDE))
})
