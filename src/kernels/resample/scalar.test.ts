import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { emptyImage, type FloatImage, type Region, uniform } from '../../core/index.js'
import { type Placement, placedRegion, resample } from './scalar.js'

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
  it('equals the plain two-dimensional sum where nothing had to be limited', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.15, max: 4, noNaN: true }),
        fc.double({ min: 0.15, max: 4, noNaN: true }),
        fc.double({ min: -9, max: 9, noNaN: true }),
        fc.integer({ min: 1, max: 9 }),
        fc.integer({ min: 1, max: 9 }),
        (scaleX, scaleY, origin, width, height) => {
          const src = random({ x: 2, y: -1, width, height })
          for (let i = 0; i < src.data.length; i += 4) src.data[i] -= 0.5
          const map = { scaleX, scaleY, originX: origin, originY: -origin }
          const region = placedRegion(width + 2, height, map)
          const out = resample(src, map, region)
          for (let j = 0, o = 0; j < region.height; j++) {
            for (let i = 0; i < region.width; i++, o += 4) {
              const sum = plain(src, map, region.x + i, region.y + j)
              sum.forEach((s, c) => {
                // A pass that was limited can only have raised what the plain sum makes of a positive channel.
                if (c === 0) return
                if (s > 0.12 && s < 0.88) expect(Math.abs(out.data[o + c] - s)).toBeLessThan(0.13)
              })
            }
          }
        },
      ),
      { numRuns: 60 },
    )
    // Far from 0 and 1 nothing is ever limited: there the sums agree to the float.
    const src = random({ x: 0, y: 0, width: 12, height: 9 })
    for (let i = 0; i < src.data.length; i++) src.data[i] = 0.4 + 0.2 * src.data[i]
    for (const scale of [0.3, 0.77, 1, 1.9]) {
      const map = place(scale, 0.37, -0.81)
      const inner = { x: Math.ceil(4 * scale + 1), y: Math.ceil(3 * scale), width: 2, height: 2 }
      const out = resample(src, map, inner)
      for (let o = 0; o < 16; o += 4) {
        const x = inner.x + ((o / 4) % 2)
        const y = inner.y + Math.floor(o / 8)
        const reach = 2 * Math.max(1, 1 / scale)
        const inside = (x - 0.37) / scale > reach + 1 && (y + 0.81) / scale > reach + 1
        if (!inside) continue
        plain(src, map, x, y).forEach((s, c) => {
          expect(Math.abs(out.data[o + c] - s)).toBeLessThan(2e-7)
        })
      }
    }
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
