import { describe, expect, it } from 'vitest'
import { type Flat, parallaxBudget } from './budget.js'
import { flatsByDepth, slicesOf } from './flats.js'
import { countedFrom, plannedPath } from './path.js'

const base: Flat = { focalPx: 1000, x: 0, y: 0, widthPx: 0, heightPx: 0, distanceM: 5, depthM: 0.5 }
const sideways = (right: number) => [{ frame: 7, right, down: 0, forward: 0 }]
const one = (flat: Flat, s: { right: number; down?: number; forward?: number }) =>
  parallaxBudget(flat, [{ frame: 7, down: 0, forward: 0, ...s }]).frames[0]

describe('handbook numbers', () => {
  // Card view change atan(b/d), by hand.
  it.each([
    [0.5, 5, 5.7106],
    [2, 10, 11.3099],
  ])('%f m aside, %f m away: the view changes by %f°', (b, d, deg) => {
    expect(one({ ...base, distanceM: d }, { right: b })?.viewDeg).toBeCloseTo(deg, 4)
  })

  // 50 mm on 36 mm and 3840 px: 10 cm are 106.67 px at 5 m and 10.67 at 50 m; 1 mm is 1 px at 5.33 m.
  it.each([
    [0.1, 5, 106.667],
    [0.1, 50, 10.667],
    [0.001, 5.3333, 1],
  ])('%f m of shake at %f m slides %f px', (b, d, px) => {
    const f = (50 / 36) * 3840
    expect(one({ ...base, focalPx: f, distanceM: d }, { right: b })?.slidePx).toBeCloseTo(px, 3)
  })
})

describe('internal parallax', () => {
  /** Brute: two dots on one way of sight, each projected from the new place. */
  function brute(x: number, y: number, t: readonly [number, number, number]): number {
    const dots = [4.75, 5.25].map((z) => {
      const [X, Y] = [(x * z) / 1000, (y * z) / 1000]
      return [(1000 * (X - t[0])) / (z - t[2]), (1000 * (Y - t[1])) / (z - t[2])] as const
    }) as [readonly [number, number], readonly [number, number]]
    return Math.hypot(dots[0][0] - dots[1][0], dots[0][1] - dots[1][1])
  }

  it('is what two dots shift against each other', () => {
    expect(one(base, { right: 0.3 })?.internalPx).toBeCloseTo(brute(0, 0, [0.3, 0, 0]), 9)
    const flat = { ...base, x: 200, y: -100, widthPx: 100, heightPx: 60 }
    const corners = [
      [200, -100],
      [150, -130],
      [250, -130],
      [150, -70],
      [250, -70],
    ] as const
    const t = [0.1, -0.05, 0.6] as const
    expect(one(flat, { right: t[0], down: t[1], forward: t[2] })?.internalPx).toBeCloseTo(
      Math.max(...corners.map(([x, y]) => brute(x, y, t))),
      9,
    )
  })

  it('names the first frame beyond a limit, and none that holds', () => {
    // 1000 · b · (1/4.75 − 1/5.25) = 20.05 b: 1 px at 49.9 mm. A slide of 1 m over 101 frames is there on frame 5.
    const b = parallaxBudget(base, plannedPath('slide', 1, 101, 24))
    expect(b.first).toEqual({ internalPx: 5, viewDeg: 89, slidePx: 1 })
    expect(b.peak.viewDeg).toBeCloseTo(11.3099, 4)
    expect(parallaxBudget({ ...base, depthM: 0 }, plannedPath('slide', 0.004, 101, 24)).first).toEqual({})
  })

  it('ends where the camera reaches the near side', () => {
    const b = parallaxBudget(base, plannedPath('walk', 10, 101, 24))
    // Near side at 4.75 m, less 2 % of 5 m: 4.65 m are passed on frame 47.
    expect(b.reached).toBe(47)
    expect(b.frames).toHaveLength(47)
  })
})

describe('flats by depth', () => {
  it('are the fewest whose own parallax keeps the limit', () => {
    // 0.3 m aside: 6.015 px in all, so seven slices.
    const slices = flatsByDepth(base, sideways(0.3))
    expect(slices).toHaveLength(7)
    expect(flatsByDepth(base, sideways(0.049))).toHaveLength(1)
    expect(flatsByDepth(base, sideways(0.5))).toBeUndefined()
    for (const s of slices ?? [])
      expect(300 * (1 / (s.distanceM - s.depthM / 2) - 1 / (s.distanceM + s.depthM / 2))).toBeCloseTo(
        6.01504 / 7,
        4,
      )
  })

  it('fill the depth from near to far', () => {
    const slices = slicesOf(base, 3)
    expect((slices[0]?.distanceM ?? 0) - (slices[0]?.depthM ?? 0) / 2).toBeCloseTo(4.75, 9)
    expect((slices[2]?.distanceM ?? 0) + (slices[2]?.depthM ?? 0) / 2).toBeCloseTo(5.25, 9)
  })
})

describe('paths', () => {
  it('have the size that was asked for', () => {
    expect(plannedPath('slide', 2, 5, 24).map((s) => s.right)).toEqual([0, 0.5, 1, 1.5, 2])
    const held = plannedPath('hand-held', 0.1, 400, 24).map((s) => s.right)
    expect(Math.max(...held) - Math.min(...held)).toBeCloseTo(0.1, 3)
    expect(plannedPath('walk', 3, 10, 24).at(-1)?.forward).toBe(3)
  })

  it('are counted from the frame that the element was placed on', () => {
    const path = countedFrom(plannedPath('slide', 2, 5, 24), 2)
    expect(path.map((s) => s.right)).toEqual([-1, -0.5, 0, 0.5, 1])
  })
})
