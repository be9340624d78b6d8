import { describe, expect, it } from 'vitest'
import { uniform } from '../../core/index.js'
import { openVision } from '../../vision/index.js'
import type { Luma } from './luma.js'
import { lookAt, newMark } from './mark.js'
import { PointsFollower } from './points.js'
import { unexplained } from './unexplained.js'

const WINDOW = 32
const wave = (x: number, y: number) => 128 + 30 * Math.sin(0.4 * x) + 30 * Math.sin(0.4 * y)

function square(of: (x: number, y: number) => number): Float32Array {
  return Float32Array.from({ length: WINDOW * WINDOW }, (_, k) => of(k % WINDOW, Math.floor(k / WINDOW)))
}

describe('what a look leaves unexplained', () => {
  // ∇I = (12 cos 0.4x, 12 cos 0.4y), so A is nearly 72·900 both ways: noise of 2 leaves 2/√(72·900) = 0.0079 px along an axis.
  it('draws a place as far as least squares say where it is noise', () => {
    const squares = Array.from({ length: 60 }, (_, n) => {
      const noise = square((x, y) => 2 * Math.sqrt(12) * (uniform(5, n, x, y, 0) - 0.5))
      return unexplained(square(wave), noise, WINDOW) ** 2
    })
    const rms = Math.sqrt(squares.reduce((sum, v) => sum + v, 0) / squares.length)
    // The larger of two eigenvalues, so somewhat more.
    expect(rms).toBeGreaterThan(0.0079)
    expect(rms).toBeLessThan(1.5 * 0.0079)
  })

  it('draws it farther where it goes together over blocks', () => {
    const blocks = (n: number) => (x: number, y: number) =>
      uniform(6, n, x >> 3, y >> 3, 0) < 0.5 ? 2 * Math.cos(0.4 * x) : -2 * Math.cos(0.4 * x)
    const spreads = Array.from({ length: 20 }, (_, n) => unexplained(square(wave), square(blocks(n)), WINDOW))
    expect(Math.min(...spreads)).toBeGreaterThan(2 * 0.0079)
  })

  it('knows nothing of a flat place', () => {
    expect(
      unexplained(
        square(() => 7),
        square(() => 1),
        WINDOW,
      ),
    ).toBe(Number.POSITIVE_INFINITY)
  })
})

describe('a point alone', () => {
  it('is known no better than it is dragged by a block of its own', async () => {
    const vision = await openVision()
    const side = 128
    const texture = (x: number, y: number) =>
      128 + 18 * Math.sin(0.5 * x + 0.2 * y) + 18 * Math.sin(0.25 * x - 0.55 * y + 1)
    const picture = (at: (x: number, y: number) => number): Luma => {
      const data = Uint8Array.from(
        { length: side * side },
        (_, k) => at(k % side, Math.floor(k / side)) + 0.5,
      )
      return { width: side, height: side, step: 1, data }
    }
    const first = picture(texture)
    const within = (v: number) => Math.abs(v - 64) < 14
    const next = picture((x, y) => texture(x - (within(x) && within(y) ? 1 : 0), y))
    const lens = {
      straight: (p: readonly [number, number]) => p,
      filmed: (p: readonly [number, number]) => p,
    }
    const ask = { vision, lens, noise: 1, reference: 0, corrections: [] }
    const spreadOn = (frame: Luma) => {
      const mark = newMark([64, 64], lookAt(first, 0, [64, 64], 31))
      const follower = new PointsFollower(ask, first, [mark])
      follower.next(frame, 1, { motion: undefined, places: [], again: false } as never)
      return mark.seen[0]
    }
    const [still, dragged] = [spreadOn(first), spreadOn(next)]
    expect(still?.spread).toBeLessThan(0.05)
    expect(dragged?.at[0]).toBeGreaterThan(64.5)
    expect(2 * (dragged?.spread ?? 0)).toBeGreaterThan((dragged?.at[0] ?? 0) - 64)
  })
})
