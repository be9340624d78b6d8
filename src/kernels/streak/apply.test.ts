import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { emptyImage, type FloatImage, type Region, uniform } from '../../core/index.js'
import { streak, streakedRegion, streakSource } from './apply.js'
import { FARTHEST, streakMap } from './map.js'

const frame: Region = { x: 0, y: 0, width: 160, height: 96 }

/** The same straight way everywhere, as long as (x, y). */
const straight = (x: number, y: number, step = 32) =>
  streakMap(frame, step, (_x, _y, out) => out.set([-x / 2, -y / 2, x / 2, y / 2]))!

function random(region: Region): FloatImage {
  const image = emptyImage(region)
  for (let i = 0; i < image.data.length; i++) image.data[i] = uniform(4, 0, i, 0, 0)
  return image
}

describe('motion blur', () => {
  // 40 px a frame through 180°: L = v·t = 20 px, a box, first null of its transfer at 1/L (box kernel, sinc transfer).
  it('of 40 px a frame at 180° is a box 20 px long', () => {
    const L = (40 * 180) / 360
    const edge = emptyImage({ x: -40, y: 0, width: 240, height: 96 })
    for (let p = 0; p < edge.data.length / 4; p++) if (p % 240 >= 120) edge.data.fill(1, 4 * p, 4 * p + 4)
    const { data } = streak(edge, straight(L, 0), frame)
    // An edge at x = 80 becomes a ramp from 70 to 90: a box's running sum. Nothing is off by more than a step of 1/21 px.
    for (let x = 0; x < 160; x++) {
      const ramp = Math.min(Math.max((x + 0.5 - 70) / L, 0), 1)
      expect(Math.abs(data[4 * (160 * 48 + x)]! - ramp)).toBeLessThan(0.6 / 21)
    }
  })

  it('lets nothing through at 1/L and 2/L, and sinc in between', () => {
    for (const [L, turn] of [
      [20, 0],
      [20, 0.6],
      [33.3, -1.1],
    ] as const) {
      const [cos, sin] = [Math.cos(turn), Math.sin(turn)]
      for (const cycles of [0.5, 1, 1.5, 2]) {
        const f = cycles / L
        const wave = emptyImage({ x: -40, y: -40, width: 240, height: 180 })
        for (let p = 0; p < wave.data.length / 4; p++) {
          const along = cos * ((p % 240) - 40 + 0.5 - 80) + sin * (Math.floor(p / 240) - 40 + 0.5 - 48)
          wave.data.fill(1 + Math.cos(2 * Math.PI * f * along), 4 * p, 4 * p + 3)
        }
        const { data } = streak(wave, straight(L * cos, L * sin), frame)
        let most = 0
        for (let p = 0; p < data.length / 4; p++) {
          const along = cos * ((p % 160) + 0.5 - 80) + sin * (Math.floor(p / 160) + 0.5 - 48)
          const kept = Math.sin(Math.PI * L * f) / (Math.PI * L * f)
          most = Math.max(most, Math.abs(data[4 * p]! - 1 - kept * Math.cos(2 * Math.PI * f * along)))
        }
        expect(most, `L ${L}, ${cycles}/L`).toBeLessThan(0.004)
      }
    }
  })

  it('of a turn equals the mean of many turned pictures', () => {
    // Waves, so that the truth is known between pixels: turned by ±0.05 rad about the middle, 700 moments.
    const at = (x: number, y: number) => 1 + 0.5 * Math.sin(x / 5) * Math.cos(y / 4)
    const wave = emptyImage({ x: -20, y: -20, width: 200, height: 140 })
    for (let p = 0; p < wave.data.length / 4; p++)
      wave.data[4 * p] = at((p % 200) - 19.5, Math.floor(p / 200) - 19.5)
    const turned = (x: number, y: number, a: number) => [
      80 + (x - 80) * Math.cos(a) - (y - 48) * Math.sin(a),
      48 + (x - 80) * Math.sin(a) + (y - 48) * Math.cos(a),
    ]
    const map = streakMap(frame, 32, (x, y, out) => {
      const [a, b] = [turned(x, y, -0.05), turned(x, y, 0.05)]
      out.set([a[0]! - x, a[1]! - y, b[0]! - x, b[1]! - y])
    })!
    const { data } = streak(wave, map, frame)
    let most = 0
    for (let p = 0; p < data.length / 4; p += 37) {
      let sum = 0
      for (let k = 0; k < 700; k++) {
        const [x, y] = turned((p % 160) + 0.5, Math.floor(p / 160) + 0.5, 0.1 * ((k + 0.5) / 700 - 0.5))
        sum += at(x!, y!) / 700
      }
      most = Math.max(most, Math.abs(data[4 * p]! - sum))
    }
    expect(most).toBeLessThan(0.005)
  })

  it('keeps all light, never rings below 0, keeps true negatives and holds alpha to 1', () => {
    const dot = emptyImage({ x: 70, y: 40, width: 9, height: 7 })
    for (let p = 0; p < 63; p++) dot.data.set([50, 0.3, -0.02, 1], 4 * p)
    const { data } = streak(dot, straight(17.3, 9.1), frame)
    const sums = [0, 1, 2, 3].map((c) => data.reduce((a, v, i) => (i % 4 === c ? a + v : a), 0))
    // What the cubic would ring below 0 is raised: a little light more along the border.
    expect(sums[0]! / (63 * 50)).toBeCloseTo(1, 1)
    for (let p = 0; p < data.length / 4; p++) {
      expect(data[4 * p]).toBeGreaterThanOrEqual(0)
      expect(data[4 * p + 2]).toBeGreaterThanOrEqual(-0.0201)
      expect(data[4 * p + 3]).toBeLessThanOrEqual(1)
    }
  })

  it('needs and touches no less than it sees and changes; a part has the bytes of the whole', () => {
    const number = fc.double({ min: -20, max: 20, noNaN: true })
    const corner = fc.integer({ min: 0, max: 150 })
    fc.assert(
      fc.property(fc.tuple(number, number, number, number), corner, corner, ([a, b, c, d], x, y) => {
        const map = streakMap(frame, 8, (u, v, out) =>
          out.set([a + u / 40, b - v / 30, c - v / 50, d + u / 60]),
        )
        if (map === undefined) return
        const region = { x, y: y % 90, width: 9, height: 5 }
        const all = { x: -60, y: -60, width: 280, height: 220 }
        const src = random(all)
        const seen = streakSource(map, region)
        const only = emptyImage(seen)
        for (let r = 0; r < seen.height; r++) {
          const from = 4 * ((r + seen.y - all.y) * all.width + seen.x - all.x)
          only.data.set(src.data.subarray(from, from + 4 * seen.width), 4 * r * seen.width)
        }
        const whole = streak(src, map, frame)
        const part = streak(only, map, region)
        for (let r = 0; r < region.height; r++) {
          for (let k = 0; k < region.width && region.x + k < 160 && region.y + r < 96; k++) {
            const [i, o] = [4 * (r * region.width + k), 4 * ((region.y + r) * 160 + region.x + k)]
            expect([...part.data.subarray(i, i + 4)]).toEqual([...whole.data.subarray(o, o + 4)])
          }
        }
        const spot = { x, y: y % 90, width: 3, height: 2 }
        const can = streakedRegion(map, spot)
        const lit = streak({ region: spot, data: new Float32Array(24).fill(1) }, map, frame)
        for (let p = 0; p < lit.data.length / 4; p++) {
          const [u, v] = [p % 160, Math.floor(p / 160)]
          const inside = u >= can.x && v >= can.y && u < can.x + can.width && v < can.y + can.height
          if (!inside && lit.data[4 * p] !== 0) expect([u, v]).toEqual(can)
        }
      }),
      { numRuns: 10 },
    )
  })

  it('has no map where nothing moves, holds what goes too far, and refuses what is no way', () => {
    expect(streakMap(frame, 32, (_x, _y, out) => out.fill(0.01))).toBeUndefined()
    const far = streakMap(frame, 32, (_x, _y, out) => out.fill(1e9))!
    expect(Math.max(...far.ends)).toBe(FARTHEST)
    expect(() => streakMap(frame, 32, (_x, _y, out) => out.fill(Number.NaN))).toThrow('cannot be streaked')
  })
})
