import { describe, expect, it } from 'vitest'
import { unevenOf } from './uneven.js'

const SIZE = { width: 600, height: 300 }
const marks = (x: number, y: number, offs: readonly (readonly [number, number])[]) =>
  offs.map((off, i) => ({ at: [x + i, y] as const, off }))

describe('parts of a picture that go otherwise', () => {
  // By hand: squares of 100 px; middles of the offsets (3, 4) and (0, 0): 5 and 0 px, root of (25 + 0) / 2 / 2.
  it('are told by what half of the marks of a square are off', () => {
    const there = marks(20, 20, [
      [3, 4],
      [3, 4],
      [50, -50],
    ])
    const still = marks(420, 220, [
      [0, 0],
      [0, 0],
      [0, 0],
    ])
    expect(unevenOf([...there, ...still], SIZE)).toEqual({ rmsPx: 2.5, worst: [50, 50], worstPx: 5 })
  })

  it('are none where no square holds enough marks', () => {
    expect(
      unevenOf(
        marks(20, 20, [
          [3, 4],
          [3, 4],
        ]),
        SIZE,
      ),
    ).toBeUndefined()
  })
})
