import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { emptyImage, type FloatImage, grow, intersect, type Region, uniform } from '../../core/index.js'
import { gaussianBlur, gaussianReach } from './apply.js'

/** Convolution as it stands in the books, in double precision, out to nine standard deviations. */
function naive(src: FloatImage, sigma: number, region: Region): Float64Array {
  const reach = Math.ceil(9 * sigma)
  const g = Array.from({ length: 2 * reach + 1 }, (_, i) =>
    Math.exp(-((i - reach) ** 2) / (2 * sigma * sigma)),
  )
  const sum = g.reduce((a, b) => a + b)
  const out = new Float64Array(4 * region.width * region.height)
  const { x: sx, y: sy, width, height } = src.region
  for (let o = 0; o < out.length; o += 4) {
    const x = region.x + ((o >> 2) % region.width)
    const y = region.y + Math.floor((o >> 2) / region.width)
    for (let v = Math.max(sy, y - reach); v < Math.min(sy + height, y + reach + 1); v++) {
      for (let u = Math.max(sx, x - reach); u < Math.min(sx + width, x + reach + 1); u++) {
        const w = (g[u - x + reach] * g[v - y + reach]) / (sum * sum)
        for (let c = 0; c < 4; c++) out[o + c] += w * src.data[4 * ((v - sy) * width + u - sx) + c]
      }
    }
  }
  return out
}

function scattered(region: Region, lights: number): FloatImage {
  const src = emptyImage(region)
  for (let k = 0; k < lights; k++) {
    const x = Math.floor(region.width * uniform(1, k, 0, 0, 0))
    const y = Math.floor(region.height * uniform(1, k, 1, 0, 0))
    for (let c = 0; c < 4; c++) src.data[4 * (y * region.width + x) + c] = uniform(2, k, 0, 0, c)
  }
  return src
}

describe('gaussian blur', () => {
  it.each([0.4, 1, 2.7, 5, 7.1, 7.2, 9, 14.3, 14.4, 20, 28.7, 40, 57.5, 90])(
    'σ = %f lies within 1.1e-4 of the peak of a convolution in double precision, at every place of the grid',
    (sigma) => {
      for (const [x, y] of [
        [0, 0],
        [5, 2],
        [11, 15],
        [-7, 6],
      ] as const) {
        const src = emptyImage({ x, y, width: 1, height: 1 })
        src.data.fill(1)
        const reach = Math.ceil(5 * sigma) + 3
        const across: Region = { x: x - reach, y: y + 1, width: 2 * reach, height: 1 }
        const down: Region = { x: x - 2, y: y - reach, width: 1, height: 2 * reach }
        const peak = naive(src, sigma, src.region)[0]
        for (const region of [across, down]) {
          const exact = naive(src, sigma, region)
          const got = gaussianBlur(src, sigma, region)
          const off = exact.reduce((most, v, i) => Math.max(most, Math.abs(v - got.data[i])), 0)
          expect(off / peak).toBeLessThan(1.1e-4)
        }
      }
    },
  )

  it('is right for many lights at once, near the borders of its source too', () => {
    const src = scattered({ x: 3, y: -5, width: 60, height: 40 }, 50)
    const region = { x: 0, y: -10, width: 30, height: 20 }
    for (const sigma of [3, 11]) {
      const exact = naive(src, sigma, region)
      const most = Math.max(...exact)
      gaussianBlur(src, sigma, region).data.forEach((v, i) => {
        expect(Math.abs(v - exact[i]) / most).toBeLessThan(2e-4)
      })
    }
  })

  it('keeps the sum of light, and of a bright field no dark rim: a white picture stays white where all that is near is white', () => {
    for (const sigma of [0.7, 6, 8, 33]) {
      const src = scattered({ x: 2, y: 9, width: 37, height: 21 }, 40)
      const out = gaussianBlur(src, sigma, grow(src.region, gaussianReach(sigma)))
      for (let c = 0; c < 4; c++) {
        const sum = (d: Float32Array) => d.reduce((s, v, i) => (i % 4 === c ? s + v : s), 0)
        expect(Math.abs(sum(out.data) / sum(src.data) - 1)).toBeLessThan(2e-6)
      }
      const white = emptyImage(grow({ x: -3, y: 1, width: 9, height: 5 }, gaussianReach(sigma)))
      white.data.fill(1000)
      for (const v of gaussianBlur(white, sigma, { x: -3, y: 1, width: 9, height: 5 }).data) {
        expect(Math.abs(v / 1000 - 1)).toBeLessThan(1e-6)
      }
    }
  })

  it('gives any region, and any source that holds what can reach it, the bits of the whole', () => {
    const src = scattered({ x: -20, y: -10, width: 180, height: 120 }, 400)
    const side = fc.integer({ min: 1, max: 70 })
    fc.assert(
      fc.property(
        fc.record({
          x: fc.integer({ min: -60, max: 170 }),
          y: fc.integer({ min: -60, max: 120 }),
          width: side,
          height: side,
        }),
        fc.constantFrom(0.8, 5, 7.3, 16, 31),
        (region, sigma) => {
          const whole = gaussianBlur(src, sigma, grow(src.region, 130))
          const near = intersect(src.region, grow(region, gaussianReach(sigma)))
          const part = emptyImage(near)
          for (let y = 0; y < near.height; y++) {
            const from = 4 * ((near.y + y - src.region.y) * src.region.width + near.x - src.region.x)
            part.data.set(src.data.subarray(from, from + 4 * near.width), 4 * y * near.width)
          }
          for (const got of [gaussianBlur(src, sigma, region), gaussianBlur(part, sigma, region)]) {
            for (let i = 0; i < got.data.length; i++) {
              const x = region.x + ((i >> 2) % region.width) - whole.region.x
              const y = region.y + Math.floor((i >> 2) / region.width) - whole.region.y
              const v = whole.data[4 * (y * whole.region.width + x) + (i & 3)]
              if (got.data[i] !== v) expect({ i, v: got.data[i] }).toEqual({ i, v })
            }
          }
        },
      ),
      { numRuns: 60 },
    )
  })

  it('takes NaN and infinity as 0, and a σ of 0 as the picture itself', () => {
    const src = emptyImage({ x: 0, y: 0, width: 9, height: 9 })
    src.data.fill(1)
    const clean = gaussianBlur(src, 12, src.region)
    src.data.set([Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY, 1], 4 * 40)
    const holed = gaussianBlur(src, 12, src.region)
    holed.data.forEach((v, i) => {
      expect(v).toBeGreaterThan(0)
      expect(v).toBeLessThanOrEqual(clean.data[i])
    })
    const lights = scattered({ x: 5, y: 5, width: 8, height: 8 }, 20)
    expect(gaussianBlur(lights, 0, lights.region).data).toEqual(lights.data)
    expect(gaussianReach(0)).toBe(0)
  })
})
