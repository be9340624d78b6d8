import { describe, expect, it } from 'vitest'
import { normal } from '../../../../../test/worlds/chance.js'
import { at, type Matrix3, type Place } from '../matrix.js'
import { heldMotion, isOpen } from './held.js'
import { MODELS } from './models.js'
import { pairsOf } from './pairs.js'
import { robustMotion } from './robust.js'

const corners: Place[] = [
  [500, 200],
  [1100, 200],
  [1100, 400],
  [500, 400],
]
const before: Matrix3 = [1, 0.02, 5, 0.01, 1, -3, 4e-5, 0, 1]
/** A shift and a little growth after `before`. */
const now: Matrix3 = [1.01, 0.0202, 9.05, 0.0101, 1.01, -7.03, 4e-5, 0, 1]
/** A cluster of nine within 30 px, and three that lie in a row with it far off. */
const places: Place[] = [
  ...Array.from({ length: 9 }, (_, i): Place => [1000 + 12 * (i % 3), 290 + 12 * Math.floor(i / 3)]),
  [520, 250],
  [640, 260],
  [760, 270],
]
const pairs = pairsOf(
  places.map(([x, y], i) => {
    const [u, v] = at(now, x, y)
    return [[x, y], [u + 0.15 * normal(4, i, 0, 1), v + 0.15 * normal(4, i, 1, 1)], 0.15] as const
  }),
)
const off = (m: Matrix3) =>
  Math.max(
    ...corners.map(([x, y]) => {
      const [a, b] = [at(m, x, y), at(now, x, y)]
      return Math.hypot(a[0] - b[0], a[1] - b[1])
    }),
  )

describe('a free motion held to the frame before', () => {
  it('does not throw its corners about where the points are a cluster and a row', () => {
    const free = robustMotion(MODELS.homography, pairs, before, 1)
    expect(free === undefined || isOpen(MODELS.homography, free, 1, corners)).toBe(true)
    const held = heldMotion(MODELS.homography, pairs, before, 1, corners)
    expect(held?.agrees.reduce((a, b) => a + b, 0)).toBe(12)
    expect(off(held?.matrix as Matrix3)).toBeLessThan(2)
    expect(off(free?.matrix ?? before)).toBeGreaterThan(2 * off(held?.matrix as Matrix3))
  })
})
