import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { emptyImage, type FloatImage, type Region, uniform } from '../../core/index.js'
import { discBlur } from './apply.js'

function random(region: Region, seed = 1): FloatImage {
  const image = emptyImage(region)
  for (let i = 0; i < image.data.length; i++) image.data[i] = 3 * uniform(seed, 0, i, 0, 0) - 0.5
  return image
}

/** Share of the pixel dx, dy that the disc covers, by counting points: shares nothing with the kernel. */
function share(dx: number, dy: number, radius: number): number {
  const n = radius < 2 ? 160 : 40
  let inside = 0
  for (let j = 0; j < n; j++) {
    for (let i = 0; i < n; i++) {
      if (Math.hypot(dx - 0.5 + (i + 0.5) / n, dy - 0.5 + (j + 0.5) / n) <= radius) inside++
    }
  }
  return inside / (n * n)
}

function plain(src: FloatImage, radius: number): FloatImage {
  const by = Math.ceil(radius) + 1
  const { x, y, width, height } = src.region
  const out = emptyImage({ x: x - by, y: y - by, width: width + 2 * by, height: height + 2 * by })
  for (let j = -by; j <= by; j++) {
    for (let i = -by; i <= by; i++) {
      const w = share(i, j, radius) / (Math.PI * radius * radius)
      if (w === 0) continue
      for (let sy = 0; sy < height; sy++) {
        for (let sx = 0; sx < width; sx++) {
          const o = 4 * ((sy + j + by) * out.region.width + sx + i + by)
          for (let c = 0; c < 4; c++) out.data[o + c] += w * src.data[4 * (sy * width + sx) + c]
        }
      }
    }
  }
  return out
}

describe('discBlur', () => {
  it('equals plain convolution with counted coverage', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 11 }),
        fc.integer({ min: 1, max: 9 }),
        fc.double({ min: 0.4, max: 7, noNaN: true }),
        (width, height, radius) => {
          const src = random({ x: -3, y: 2, width, height })
          const ours = discBlur(src, radius)
          const oracle = plain(src, radius)
          expect(ours.region).toEqual(oracle.region)
          let worst = 0
          for (let i = 0; i < ours.data.length; i++) {
            worst = Math.max(worst, Math.abs(ours.data[i] - oracle.data[i]))
          }
          expect(worst).toBeLessThan(0.012)
        },
      ),
      { numRuns: 40 },
    )
  })

  it('loses and makes no light: sum in = sum out, at any radius', () => {
    for (const radius of [0.31, 0.5, 0.9, 1.5, 3.3, 12, 40.7, 256]) {
      const src = random({ x: 0, y: 0, width: 5, height: 4 })
      const sum = (d: Float32Array) => d.reduce((a, b) => a + b, 0)
      expect(sum(discBlur(src, radius).data)).toBeCloseTo(sum(src.data), 3)
    }
  })

  it('is as wide as it is high, with the variance r²/4 of a uniform disc and the 1/12 of a pixel', () => {
    // Radius 1 by hand: 1 in the middle, a = √3/4 + π/6 − ½ beside it, the rest of π in the corners.
    const a = Math.sqrt(3) / 4 + Math.PI / 6 - 0.5
    for (const [radius, expected] of [
      [1, (2 * a + (Math.PI - 1 - 4 * a)) / Math.PI],
      [4.4, 4.84 + 1 / 12],
      [20, 100 + 1 / 12],
    ]) {
      const src = emptyImage({ x: 0, y: 0, width: 1, height: 1 })
      src.data.fill(1)
      const { region, data } = discBlur(src, radius)
      let vx = 0
      let vy = 0
      for (let j = 0, i = 0; j < region.height; j++) {
        for (let k = 0; k < region.width; k++, i += 4) {
          vx += data[i] * (region.x + k) ** 2
          vy += data[i] * (region.y + j) ** 2
        }
      }
      expect(Math.abs(vx / vy - 1)).toBeLessThan(1e-5)
      expect(Math.abs(vx / expected - 1)).toBeLessThan(0.01)
    }
  })

  it('gives the same bits from a part as from the whole, where the part holds all that is needed', () => {
    const radius = 3.7
    const whole = random({ x: 0, y: 0, width: 40, height: 30 })
    whole.data[4 * 45] = 60000
    const part = emptyImage({ x: 7, y: 5, width: 30, height: 22 })
    for (let y = 0; y < 22; y++) {
      const at = 4 * ((y + 5) * 40 + 7)
      part.data.set(whole.data.subarray(at, at + 120), 120 * y)
    }
    const a = discBlur(whole, radius)
    const b = discBlur(part, radius)
    for (let y = 5 + 5; y < 27 - 5; y++) {
      for (let x = 7 + 5; x < 37 - 5; x++) {
        const ia = 4 * ((y - a.region.y) * a.region.width + x - a.region.x)
        const ib = 4 * ((y - b.region.y) * b.region.width + x - b.region.x)
        expect(b.data.subarray(ib, ib + 4)).toEqual(a.data.subarray(ia, ia + 4))
      }
    }
  })

  it('spreads no NaN and no infinity, and a very bright pixel leaves no dust along its row', () => {
    const src = emptyImage({ x: 0, y: 0, width: 60, height: 3 })
    src.data.set([Number.NaN, Number.POSITIVE_INFINITY, 65504, 1], 4 * (60 + 20))
    src.data[4 * (60 + 50)] = 1
    const { region, data } = discBlur(src, 2)
    for (const v of data) expect(Number.isFinite(v)).toBe(true)
    const at = (x: number, y: number, c: number) =>
      data[4 * ((y - region.y) * region.width + x - region.x) + c]
    expect(at(20, 1, 0)).toBe(0)
    expect(at(30, 1, 2)).toBe(0)
    expect(at(50, 1, 0)).toBeCloseTo(1 / (4 * Math.PI), 2)
  })

  it('returns the source below a radius of 0.3 and nothing for nothing', () => {
    const src = random({ x: 0, y: 0, width: 2, height: 2 })
    expect(discBlur(src, 0.29)).toBe(src)
    expect(discBlur(src, 0)).toBe(src)
    const none = emptyImage({ x: 0, y: 0, width: 0, height: 0 })
    expect(discBlur(none, 5)).toBe(none)
  })
})
