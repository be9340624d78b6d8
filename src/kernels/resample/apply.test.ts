import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { emptyImage, type FloatImage, type Region, uniform } from '../../core/index.js'
import { resample } from './apply.js'
import { type Placement, placedRegion } from './place.js'

function random(region: Region): FloatImage {
  const image = emptyImage(region)
  for (let i = 0; i < image.data.length; i++) image.data[i] = uniform(4, 0, i, 0, 0)
  return image
}

const place = (scale: number, x = 0, y = x): Placement => ({
  scaleX: scale,
  scaleY: scale,
  originX: x,
  originY: y,
})

/** Keys 1981 with a = −½, summed in two dimensions at once; edges transparent; limited as the docstring says. */
function plain(src: FloatImage, map: Placement, px: number, py: number): number[] {
  const k = (t: number) => {
    const x = Math.abs(t)
    if (x < 1) return 1.5 * x ** 3 - 2.5 * x ** 2 + 1
    return x < 2 ? -0.5 * x ** 3 + 2.5 * x ** 2 - 4 * x + 2 : 0
  }
  const sx = Math.max(1, 1 / map.scaleX)
  const sy = Math.max(1, 1 / map.scaleY)
  const u = (px + 0.5 - map.originX) / map.scaleX - 0.5
  const v = (py + 0.5 - map.originY) / map.scaleY - 0.5
  const sum = [0, 0, 0, 0]
  let weight = 0
  for (let j = Math.floor(v - 2 * sy); j <= v + 2 * sy + 1; j++) {
    for (let i = Math.floor(u - 2 * sx); i <= u + 2 * sx + 1; i++) {
      const w = k((i - u) / sx) * k((j - v) / sy)
      weight += w
      const x = i - src.region.x
      const y = j - src.region.y
      if (x < 0 || y < 0 || x >= src.region.width || y >= src.region.height) continue
      for (let c = 0; c < 4; c++) sum[c] += w * src.data[4 * (y * src.region.width + x) + c]
    }
  }
  return sum.map((s) => s / weight)
}

describe('resample', () => {
  it('equals the plain two-dimensional sum, far enough from 0 that nothing is limited', () => {
    const src = random({ x: 2, y: -1, width: 48, height: 40 })
    for (let i = 0; i < src.data.length; i++) src.data[i] = 0.4 + 0.2 * src.data[i]
    const scale = fc.double({ min: 0.15, max: 4, noNaN: true })
    const origin = fc.double({ min: -9, max: 9, noNaN: true })
    fc.assert(
      fc.property(scale, scale, origin, origin, (scaleX, scaleY, originX, originY) => {
        const map = { scaleX, scaleY, originX, originY }
        const x = Math.floor(originX + 26 * scaleX)
        const y = Math.floor(originY + 19 * scaleY)
        const out = resample(src, map, { x, y, width: 2, height: 2 })
        for (let o = 0; o < 16; o += 4) {
          plain(src, map, x + ((o / 4) % 2), y + Math.floor(o / 8)).forEach((s, c) => {
            // Two passes of up to 28 taps in single precision: 2·28·2⁻²⁴·Σ|w·v|, which is below 0.8.
            expect(Math.abs(out.data[o + c] - s)).toBeLessThan(2.7e-6)
          })
        }
      }),
      { numRuns: 200 },
    )
  })

  it('equals it at the edges too, with transparent black outside, where the sums stay positive', () => {
    const src = random({ x: 0, y: 0, width: 3, height: 2 })
    const map = place(1.6, 0.3, -0.2)
    const region = placedRegion(3, 2, map)
    const out = resample(src, map, region)
    let seen = 0
    for (let j = 0, o = 0; j < region.height; j++) {
      for (let i = 0; i < region.width; i++, o += 4) {
        const inside = i > 2 && j > 2 && i < region.width - 3 && j < region.height - 3
        if (!inside) continue
        seen++
        plain(src, map, region.x + i, region.y + j).forEach((s, c) => {
          if (s > 0 && (c < 3 || s < 1)) expect(Math.abs(out.data[o + c] - s)).toBeLessThan(1e-6)
        })
      }
    }
    expect(seen).toBeGreaterThan(3)
  })

  it('moved by whole pixels is the source itself', () => {
    const src = random({ x: 0, y: 0, width: 5, height: 7 })
    const out = resample(src, place(1, 10, -4), { x: 10, y: -4, width: 5, height: 7 })
    expect(out.data).toEqual(src.data)
  })

  it('keeps a constant constant to 1e-6 inside, at any scale and offset', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.05, max: 8, noNaN: true }),
        fc.double({ min: -1, max: 1, noNaN: true }),
        (scale, origin) => {
          const src = emptyImage({ x: 0, y: 0, width: 200, height: 200 })
          src.data.fill(0.7)
          const at = Math.floor(origin + 100 * scale)
          const out = resample(src, place(scale, origin), { x: at, y: at, width: 1, height: 1 })
          for (const v of out.data) expect(Math.abs(v - 0.7)).toBeLessThan(1e-6)
        },
      ),
    )
  })

  it('moves the centre of a spot as the map says, by parts of a pixel too', () => {
    const src = emptyImage({ x: 0, y: 0, width: 21, height: 21 })
    for (let j = 0; j < 21; j++) {
      for (let i = 0; i < 21; i++)
        src.data.fill(Math.exp(-((i - 9) ** 2 + (j - 12) ** 2) / 8), 4 * (21 * j + i), 4 * (21 * j + i) + 4)
    }
    for (const scale of [0.5, 1, 2.3]) {
      const map = place(scale, 3.25, 1.4)
      const region = placedRegion(21, 21, map)
      const { data } = resample(src, map, region)
      let sum = 0
      let x = 0
      let y = 0
      for (let j = 0, i = 0; j < region.height; j++) {
        for (let k = 0; k < region.width; k++, i += 4) {
          sum += data[i]
          x += data[i] * (region.x + k + 0.5)
          y += data[i] * (region.y + j + 0.5)
        }
      }
      expect(x / sum).toBeCloseTo(3.25 + 9.5 * scale, 2)
      expect(y / sum).toBeCloseTo(1.4 + 12.5 * scale, 2)
      expect(sum / scale ** 2).toBeCloseTo(8 * Math.PI, 0)
    }
  })

  it('does not ring below 0 around a bright edge, holds alpha to 0…1, keeps true negatives', () => {
    const src = emptyImage({ x: 0, y: 0, width: 16, height: 16 })
    for (let i = 0; i < src.data.length; i += 4) {
      const bright = (i / 4) % 16 > 7
      src.data.set(bright ? [50, 50, 50, 1] : [0, 0, -0.02, 0], i)
    }
    const map = place(3.3, 0.2)
    const region = placedRegion(16, 16, map)
    const { data } = resample(src, map, region)
    let least = 0
    for (let i = 0; i < data.length; i += 4) {
      expect(data[i]).toBeGreaterThanOrEqual(0)
      expect(data[i + 3]).toBeGreaterThanOrEqual(0)
      expect(data[i + 3]).toBeLessThanOrEqual(1)
      least = Math.min(least, data[i + 2])
    }
    expect(least).toBeCloseTo(-0.02, 6)
  })

  it('gives the same bits by region, nothing outside its placed region, and takes parts of a source', () => {
    const src = random({ x: 0, y: 0, width: 9, height: 6 })
    for (const scale of [0.4, 1.7]) {
      const map = place(scale, 2.3, -1.1)
      const placed = placedRegion(9, 6, map)
      const wide = { x: placed.x - 3, y: placed.y - 2, width: placed.width + 6, height: placed.height + 4 }
      const whole = resample(src, map, wide)
      for (let j = 0, i = 0; j < wide.height; j++) {
        for (let k = 0; k < wide.width; k++, i += 4) {
          const pixel = resample(src, map, { x: wide.x + k, y: wide.y + j, width: 1, height: 1 })
          expect(pixel.data).toEqual(whole.data.subarray(i, i + 4))
          const outside = k < 3 || j < 2 || k >= wide.width - 3 || j >= wide.height - 2
          if (outside) expect([...pixel.data]).toEqual([0, 0, 0, 0])
        }
      }
    }
    const part = { region: { x: 0, y: 2, width: 9, height: 4 }, data: src.data.slice(72) }
    const low = { x: 3, y: 5, width: 1, height: 1 }
    expect(resample(part, place(1.01), low).data).toEqual(resample(src, place(1.01), low).data)
  })

  it('refuses scales of 0 and below', () => {
    expect(() => placedRegion(4, 4, place(0))).toThrow('cannot be placed')
    expect(() =>
      resample(random({ x: 0, y: 0, width: 1, height: 1 }), place(-1), { x: 0, y: 0, width: 1, height: 1 }),
    ).toThrow()
    expect(() => placedRegion(4, 4, place(Number.NaN))).toThrow()
  })
})
