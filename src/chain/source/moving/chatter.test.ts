/** A disc whose matte is shaken by known amounts from frame to frame, standing, moving and gathering speed. */
import { describe, expect, it } from 'vitest'
import { DISC, type DiscFilm, paintDisc } from '../../../../test/matting/disc.js'
import { type FloatImage, uniform } from '../../../core/index.js'
import { compareChatter, type Four, lookAtChatter } from './chatter.js'

const f: DiscFilm = { ...DISC, width: 128, height: 96, radius: 26, from: [48, 44], step: [0, 0], soft: 7 }
const seen = { frames: [0, 1, 2, 3], region: { x: 0, y: 0, width: 9, height: 9 } }

/** Four frames. @param at of its middle @param sigma of what is added to coverage, new in every frame and pixel */
function four(at: (n: number) => readonly [number, number], sigma: number): Four {
  return [0, 1, 2, 3].map((n): FloatImage => {
    const { alpha } = paintDisc({ ...f, from: at(n) }, 0)
    const data = new Float32Array(4 * alpha.length)
    alpha.forEach((t, p) => {
      // The sum of four uniform numbers has a variance of a third.
      const u = [0, 1, 2, 3].reduce((s, k) => s + uniform(4, n, p, k, 0) - 0.5, 0) * Math.sqrt(3)
      const a = t <= 0.05 || t >= 0.95 ? t : Math.min(Math.max(t + sigma * u, 0), 1)
      data.set([0.4 * a, 0.3 * a, 0.2 * a, a], 4 * p)
    })
    return { region: { x: 0, y: 0, width: f.width, height: f.height }, data }
  }) as unknown as Four
}

const still = () => f.from
const even = (n: number) => [f.from[0] + 4 * n, f.from[1] + 2 * n] as const
const faster = (n: number) => [f.from[0] + 2 * n + 1.5 * n * n, f.from[1]] as const

describe('chatter of an edge', () => {
  it.each([0.04, 0.1])('is what was put in, on one that stands: %d', (sigma) => {
    const look = lookAtChatter(1, four(still, sigma))
    // The search for its motion takes a part of it along, and where coverage ends at 0 and 1 less of it is left.
    expect(look!.chatter / sigma).toBeGreaterThan(0.6)
    expect(look!.chatter / sigma).toBeLessThan(1.1)
  })

  it('is told of one that goes, and of none that goes or gathers speed without', () => {
    expect(lookAtChatter(1, four(even, 0.1))!.chatter).toBeGreaterThan(0.06)
    for (const way of [still, even, faster])
      expect(lookAtChatter(1, four(way, 0))!.chatter).toBeLessThan(0.02)
  })

  it.each([0.1, 1, 2])('is not seen in an edge of %d px that goes by parts of pixels', (soft) => {
    for (const step of [0.3, 0.5, 1.5, 2.7]) {
      const made = [0, 1, 2, 3].map((n) => {
        const { alpha } = paintDisc({ ...f, soft, step: [step, step / 3] }, n)
        const data = new Float32Array(4 * alpha.length)
        for (const [p, a] of alpha.entries()) data.set([0.4 * a, 0.3 * a, 0.2 * a, a], 4 * p)
        return { region: { x: 0, y: 0, width: f.width, height: f.height }, data }
      })
      expect(lookAtChatter(1, made as unknown as Four)?.chatter ?? 0).toBeLessThan(0.04)
    }
  })

  it('speaks of the fault alone, and not without evidence', () => {
    const [bad, good] = [lookAtChatter(1, four(even, 0.12)), lookAtChatter(1, four(even, 0.02))]
    const [verdict] = compareChatter('runner', [bad, bad, good], seen).verdicts
    expect(verdict).toMatchObject({ tell: 'matte-chatter', link: 'source', frames: seen.frames })
    expect(verdict!.measured).toBeGreaterThan(verdict!.limit)
    expect(compareChatter('runner', [good, good, good], seen)).toMatchObject({ verdicts: [], undecided: [] })
    const empty = four(still, 0)[0]
    empty.data.fill(0)
    expect(lookAtChatter(1, [empty, empty, empty, empty])).toBeUndefined()
    expect(compareChatter('runner', [undefined], seen).undecided[0]?.why).toContain('four frames')
  })
})
