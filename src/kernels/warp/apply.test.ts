import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { emptyImage, type FloatImage, type Region, uniform } from '../../core/index.js'
import { warp } from './apply.js'
import { warpedRegion, warpSource } from './map.js'
import { warpMap } from './nodes.js'

const frame: Region = { x: 0, y: 0, width: 64, height: 48 }

function random(region: Region): FloatImage {
  const image = emptyImage(region)
  for (let i = 0; i < image.data.length; i++) image.data[i] = 0.4 + 0.2 * uniform(4, 0, i, 0, 0)
  return image
}

/** Keys 1981 with a = −½, `s` times as wide, summed in two dimensions at once in double precision. */
function naive(src: FloatImage, u: number, v: number, channel: number, sx = 1, sy = 1): number {
  const k = (t: number) => {
    const x = Math.abs(t)
    if (x < 1) return 1.5 * x ** 3 - 2.5 * x ** 2 + 1
    return x < 2 ? -0.5 * x ** 3 + 2.5 * x ** 2 - 4 * x + 2 : 0
  }
  let [sum, weight] = [0, 0]
  for (let j = Math.floor(v - 2 * sy); j <= v + 2 * sy + 1; j++) {
    for (let i = Math.floor(u - 2 * sx); i <= u + 2 * sx + 1; i++) {
      const w = k((i - u) / sx) * k((j - v) / sy)
      weight += w
      const [x, y] = [i - src.region.x, j - src.region.y]
      if (x < 0 || y < 0 || x >= src.region.width || y >= src.region.height) continue
      sum += w * (src.data[4 * (y * src.region.width + x) + channel] as number)
    }
  }
  return sum / weight
}

/** Straight maps, so that nothing is lost between nodes: source = a·x + b·y + c, d·x + e·y + f, red and blue moved by `apart`. */
function straight(step: 1 | 8, [a, b, c, d, e, f]: readonly number[], apart = 0) {
  return warpMap(frame, step, apart !== 0, (x, y, out) => {
    for (let k = 0; k < 3; k++) {
      out[2 * k] = a * x + b * y + c + apart * (k - 1)
      out[2 * k + 1] = d * x + e * y + f - apart * (k - 1)
    }
  })
}

describe('warp', () => {
  it('equals the plain two-dimensional sum of each channel at its own place, shrunk or not', () => {
    const src = random({ x: -30, y: -40, width: 220, height: 190 })
    const number = (min: number, max: number) => fc.double({ min, max, noNaN: true })
    fc.assert(
      fc.property(
        fc.tuple(number(0.5, 3), number(-0.3, 0.3), number(-2, 2), number(-0.3, 0.3), number(0.5, 3)),
        number(-1.5, 1.5),
        fc.constantFrom<1 | 8>(1, 8),
        ([a, b, c, d, e], apart, step) => {
          const s = (p: number, q: number) => Math.hypot(p, q)
          // Between 1⅛ and 1¼ the filter goes over from one to the other; below, it is not stretched.
          const wide = (v: number) => (v >= 1.25 ? v : 1 + 2 * Math.max(v - 1.125, 0))
          const [sx, sy] = [wide(s(a, b)), wide(s(d, e))]
          const map = straight(step, [a, b, c, d, e, 1.5], apart)
          const region = { x: 21, y: 17, width: 7, height: 3 }
          const { image, coverage } = warp(src, map, region)
          for (let i = 0; i < 21; i++) {
            const [x, y] = [21.5 + (i % 7), 17.5 + Math.floor(i / 7)]
            for (let k = 0; k < 3; k++) {
              const u = a * x + b * y + c + apart * (k - 1) - 0.5
              const v = d * x + e * y + 1.5 - apart * (k - 1) - 0.5
              // Shifts of up to 200 px in single precision are 8e-6 px off, a slope of 0.2 a pixel; sums of up to 14² taps.
              expect(Math.abs((image.data[4 * i + k] as number) - naive(src, u, v, k, sx, sy))).toBeLessThan(
                1e-5,
              )
              const alpha = coverage?.data[4 * i + k] ?? (image.data[4 * i + 3] as number)
              expect(Math.abs(alpha - naive(src, u, v, 3, sx, sy))).toBeLessThan(1e-5)
            }
          }
        },
      ),
      { numRuns: 60 },
    )
  })

  it('moved by whole pixels is the source itself, with nothing around it', () => {
    const src = random({ x: 3, y: 2, width: 20, height: 31 })
    const { image, coverage } = warp(src, straight(8, [1, 0, -7, 0, 1, -5]), frame)
    expect(coverage).toBeUndefined()
    for (let y = 0, i = 0; y < frame.height; y++) {
      for (let x = 0; x < frame.width; x++, i += 4) {
        const [u, v] = [x - 7 - 3, y - 5 - 2]
        const inside = u >= 0 && v >= 0 && u < 20 && v < 31
        const there = inside ? [...src.data.subarray(4 * (20 * v + u), 4 * (20 * v + u) + 4)] : [0, 0, 0, 0]
        if (there.some((t, c) => t !== image.data[i + c])) expect([x, y]).toEqual('the source')
      }
    }
  })

  // A cubic that sums to 1 and keeps lines straight: a ramp stays a ramp, a constant stays a constant, however much it is shrunk.
  it('keeps ramps and constants when it shrinks', () => {
    const src = emptyImage({ x: -60, y: -60, width: 500, height: 400 })
    for (let y = 0, i = 0; y < 400; y++) {
      for (let x = 0; x < 500; x++, i += 4) src.data.set([0.001 * x, 0.002 * y, 0.7, 1], i)
    }
    for (const scale of [1.3, 2.4, 4]) {
      const { data } = warp(src, straight(8, [scale, 0, 5, 0, scale, 3]), {
        x: 9,
        y: 5,
        width: 3,
        height: 2,
      }).image
      for (let i = 0; i < 6; i++) {
        const [u, v] = [
          scale * (9.5 + (i % 3)) + 5 - 0.5 + 60,
          scale * (5.5 + Math.floor(i / 3)) + 3 - 0.5 + 60,
        ]
        const wanted = [0.001 * u, 0.002 * v, 0.7, 1]
        // A cubic sampled at a width that is no whole number is off a line by a little.
        wanted.forEach((w, c) => {
          expect(Math.abs((data[4 * i + c] as number) - w)).toBeLessThan(c < 2 ? 2e-4 : 1e-6)
        })
      }
    }
  })

  it('gives the mean of what a shrinking map passes over: checks become grey', () => {
    const src = emptyImage({ x: 0, y: 0, width: 400, height: 300 })
    for (let y = 0, i = 0; y < 300; y++) {
      for (let x = 0; x < 400; x++, i += 4) src.data.fill((x + y) % 2, i, i + 4)
    }
    for (const scale of [2, 2.5, 3.7]) {
      const { data } = warp(src, straight(8, [scale, 0, 5, 0, scale, 3]), {
        x: 9,
        y: 5,
        width: 9,
        height: 7,
      }).image
      for (const v of data) expect(Math.abs(v - 0.5)).toBeLessThan(0.02)
    }
  })

  it('does not ring below 0, holds alpha to 0…1, keeps true negatives', () => {
    const src = emptyImage({ x: 0, y: 0, width: 64, height: 48 })
    for (let i = 0; i < src.data.length; i += 4) {
      const bright = (i / 4) % 64 > 30
      src.data.set(bright ? [50, 50, 50, 1] : [0, 0, -0.02, 0], i)
    }
    for (const apart of [0, 0.4]) {
      const { image, coverage } = warp(src, straight(8, [0.7, 0, 0.2, 0, 0.7, 0.1], apart), frame)
      let least = 0
      for (let i = 0; i < image.data.length; i++) {
        if (i % 4 !== 2) expect(image.data[i]).toBeGreaterThanOrEqual(0)
        else least = Math.min(least, image.data[i] as number)
        if (i % 4 === 3) expect(image.data[i]).toBeLessThanOrEqual(1)
        if (coverage !== undefined) expect(coverage.data[i]).toBeLessThanOrEqual(1)
      }
      expect(least).toBeCloseTo(-0.02, 6)
    }
  })

  it('says what it sees, and where something can be seen', () => {
    const map = straight(8, [1.1, 0.05, 3, -0.02, 1.2, -7], 0.6)
    const src = random({ x: -20, y: -30, width: 140, height: 130 })
    const region = { x: 20, y: 9, width: 12, height: 10 }
    const seen = warpSource(map, region)
    const only = emptyImage(seen)
    for (let y = 0; y < seen.height; y++) {
      const from = 4 * (140 * (y + seen.y + 30) + seen.x + 20)
      only.data.set(src.data.subarray(from, from + 4 * seen.width), 4 * y * seen.width)
    }
    expect(warp(only, map, region)).toEqual(warp(src, map, region))
    expect(seen.width * seen.height).toBeLessThan(48 * 48)
    const part = { x: 30, y: 20, width: 5, height: 4 }
    const lit = warp({ region: part, data: new Float32Array(80).fill(1) }, map, frame)
    const can = warpedRegion(map, part)
    for (let i = 0; i < lit.image.data.length; i++) {
      const [x, y] = [(i >> 2) % 64, Math.floor(i / 256)]
      const inside = x >= can.x && y >= can.y && x < can.x + can.width && y < can.y + can.height
      if (!inside && lit.image.data[i] !== 0) expect([x, y]).toEqual('inside')
    }
    expect(can.width * can.height).toBeLessThan(48 * 48)
    expect(warpedRegion(map, { x: 5000, y: 0, width: 9, height: 9 }).width).toBe(0)
  })

  it('refuses a map that is none', () => {
    expect(() => warpMap(frame, 8, false, (_x, _y, out) => out.fill(Number.NaN))).toThrow('cannot be bent')
  })
})
