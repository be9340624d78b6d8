import { expect, it } from 'vitest'
import { compareDepth, comparePassing } from './compare.js'

const region = { x: 0, y: 0, width: 10, height: 10 }
const look = (frame: number, share: number) => ({ frame, share, metres: 2, region })
const passing = (first: number, count: number, differs: number) => ({
  ...{ region, differs, least: 0.02, alike: 0.1 },
  frames: Array.from({ length: count }, (_, k) => first + k),
})

it('speaks by the depth map beyond a hundredth of the element, where that is most', () => {
  const c = compareDepth('crate', 5, [look(0, 0.004), look(4, 0.2), look(8, 0.5), look(12, 0.009)])
  expect(c.verdicts[0]).toMatchObject({ measured: 0.5, limit: 0.01, frames: [4, 8] })
  expect(c.verdicts[0]?.sentence).toMatch(/50 % of it .* 2\.0 m away, and it stands at 5\.0 m/)
  expect(c.measured.nearer).toEqual([0.5])
  expect(compareDepth('crate', 5, [look(0, 0.01)]).verdicts).toEqual([])
})

it('speaks of what passes under it on three frames or more, and counts both', () => {
  const over = comparePassing('crate', [passing(5, 8, 0.1), passing(30, 2, 0.1), passing(40, 6, 0.01)])
  expect(over.verdicts[0]?.sentence).toMatch(/on frames 5 to 12/)
  // 8 + 2 + 6 frames in all; on 8 of them the file shows the element there for long enough to be seen.
  expect(over.measured).toEqual({ passes: [16], passesUnder: [8] })
  expect(comparePassing('crate', [passing(30, 2, 0.1), passing(40, 6, 0.01)]).verdicts).toEqual([])
  expect(comparePassing('crate', []).measured).toEqual({ passes: [0], passesUnder: [0] })
})
