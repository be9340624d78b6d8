import { describe, expect, it } from 'vitest'
import { uniform } from '../../../core/index.js'
import { carryShape, type DrawnKey, type Flow } from './carry.js'
import type { Luma, Place } from './edge.js'

const [WIDTH, HEIGHT] = [160, 120]

/** The blob's own motion: goes right, turns and grows a little each frame. */
function carried([x, y]: Place, from: number, to: number): Place {
  const at = (n: number) => ({ x: 60 + 1.3 * n, y: 58 + 0.4 * n, turn: 0.01 * n, size: 1 + 0.004 * n })
  const [a, b] = [at(from), at(to)]
  const [s, t] = [b.size / a.size, b.turn - a.turn]
  const [dx, dy] = [x - a.x, y - a.y]
  return [b.x + s * (Math.cos(t) * dx - Math.sin(t) * dy), b.y + s * (Math.sin(t) * dx + Math.cos(t) * dy)]
}

/** Distance inside the blob's true outline, in its own place on frame 0: a circle with waves. */
function within([x, y]: Place): number {
  const [dx, dy] = [x - 60, y - 58]
  const r = Math.hypot(dx, dy)
  return 30 + 3 * Math.cos(3 * Math.atan2(dy, dx)) - r
}

const waves = (x: number, y: number) => 0.05 * (Math.sin(x / 3) + Math.sin(y / 4 + x / 7))

/** A textured blob before a textured wall that stands still, with noise: 5 × 5 samples a pixel. */
function picture(frame: number, contrast: number, noise: number): Luma {
  const data = new Float32Array(WIDTH * HEIGHT)
  for (let y = 0; y < HEIGHT; y++)
    for (let x = 0; x < WIDTH; x++) {
      let sum = 0
      for (let k = 0; k < 25; k++) {
        const p: Place = [x + ((k % 5) + 0.5) / 5, y + (Math.floor(k / 5) + 0.5) / 5]
        const own = carried(p, frame, 0)
        sum +=
          within(own) > 0 ? 0.3 + contrast + contrast * waves(...own) : 0.3 + contrast * waves(p[1], p[0])
      }
      data[y * WIDTH + x] = sum / 25 + noise * (uniform(9, frame, x, y, 0) - 0.5)
    }
  return { width: WIDTH, height: HEIGHT, data, white: 1 }
}

/** The outline on frame n, drawn with a careful hand. */
function drawn(n: number): DrawnKey {
  const points = Array.from({ length: 16 }, (_, i): Place => {
    const a = (i * Math.PI) / 8
    const r = 30 + 3 * Math.cos(3 * a)
    return carried([60 + r * Math.cos(a), 58 + r * Math.sin(a)], 0, n)
  })
  return { frame: n, points }
}

/** How far a point lies from the true outline. */
const off = (p: Place, n: number) => Math.abs(within(carried(p, n, 0)))
const worst = ({ frame, points }: DrawnKey) => Math.max(...points.map((p) => off(p, frame)))

/** True but for a drift, the same way on every frame. */
const drifting =
  (px: number, spreadPx = 0.3, blind = (_: Place) => false) =>
  async (): Promise<Flow> =>
  async (points, from, to) =>
    points.map((p) => {
      const [x, y] = carried(p, from, to)
      return blind(p) ? undefined : { to: [x + px * Math.sign(to - from), y], spreadPx }
    })

const scene = (contrast: number, noise = 0) => {
  const made = new Map<number, Luma>()
  return async (n: number) => {
    const known = made.get(n) ?? picture(n, contrast, noise)
    made.set(n, known)
    return known
  }
}

describe('a shape carried by the picture', () => {
  it('stays on its edge though the flow drifts', async () => {
    for (const noise of [0, 0.04]) {
      const { keys, stopped } = await carryShape([drawn(0)], {
        frames: [0, 20],
        flow: drifting(0.4),
        luma: scene(0.3, noise),
      })
      expect(stopped).toEqual([])
      expect(keys.map((k) => k.frame)).toEqual(Array.from({ length: 20 }, (_, i) => i + 1))
      // The flow alone would be 8 px off in the end.
      const ends = keys.map(worst)
      expect([noise, Math.max(...ends) < 0.6, ends]).toEqual([noise, true, ends])
    }
  })

  it('where there is no edge goes by the flow, and better the nearer a hand corrected it', async () => {
    const work = { frames: [0, 20] as const, flow: drifting(0.1, 0.1), luma: scene(0) }
    const alone = await carryShape([drawn(0)], work)
    const both = await carryShape([drawn(0), drawn(20)], work)
    expect(worst(alone.keys[18]!)).toBeGreaterThan(1.7)
    for (const k of both.keys) expect(worst(k)).toBeLessThan(0.6)
    expect(worst(both.keys[18]!)).toBeLessThan(0.25)
    const third = await carryShape([drawn(0), drawn(10), drawn(20)], work)
    expect(third.keys.map((k) => k.frame)).not.toContain(10)
    // The ways there and back are off by 0.1 px a frame, one to each side.
    for (const k of third.keys) expect(worst(k)).toBeLessThan(0.3)
  })

  it('stops where it is not sure any more, and says so', async () => {
    const flow = drifting(0, 0.5)
    const { keys, stopped } = await carryShape([drawn(3)], {
      frames: [0, 60],
      flow,
      luma: scene(0),
      limitPx: 2.01,
    })
    // 0.5 · √n > 2 from n = 17 on.
    expect(keys.at(-1)!.frame).toBe(19)
    expect(keys.at(-1)!.carried.spreadPx).toBeCloseTo(2, 9)
    expect(keys[0]!.frame).toBe(0)
    expect(stopped).toEqual([
      { from: 3, at: 20, why: expect.stringMatching(/2\.1 px only, the limit is 2.01 px/) },
    ])
  })

  it('goes on with its neighbours where one point is not seen, and stops where none is', async () => {
    const blind = drifting(0, 0.1, (p) => p[0] > 85)
    const some = await carryShape([drawn(0)], { frames: [0, 3], flow: blind, luma: scene(0.3) })
    expect(some.keys.length).toBe(3)
    const none = await carryShape([drawn(0)], {
      frames: [0, 3],
      flow: drifting(0, 0.1, () => true),
      luma: scene(0.3),
    })
    expect(none).toEqual({
      keys: [],
      stopped: [{ from: 0, at: 1, why: 'the flow of none of its points is known' }],
    })
  })
})
