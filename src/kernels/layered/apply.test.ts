import { describe, expect, it } from 'vitest'
import { emptyImage, type FloatImage, type Region, uniform } from '../../core/index.js'
import { discBlur } from '../disc/apply.js'
import { cropImage } from '../wasm/images.js'
import { layeredBlur } from './apply.js'
import { layeredReach } from './scene.js'

const ROUND = { blades: 0, rotationDeg: 0, squeeze: 1, corner: 0 }
const WIDTH = 60
const HEIGHT = 36
const FRAME = { x: 0, y: 0, width: WIDTH, height: HEIGHT }

/** Left half one light, right half another, whole in alpha. */
function halves(left: number, right: number): FloatImage {
  const image = emptyImage({ x: 0, y: 0, width: WIDTH, height: HEIGHT })
  for (let i = 0; i < WIDTH * HEIGHT; i++) {
    const v = i % WIDTH < 30 ? left : right
    image.data.set([v, v, v, 1], 4 * i)
  }
  return image
}

const at = ({ region, data }: FloatImage, x: number, y: number, c = 0) =>
  data[4 * ((y - region.y) * region.width + x - region.x) + c] as number

/** Share of a circle beyond a chord, by plane geometry. */
function beyond(part: number): number {
  const p = Math.min(Math.max(part, -1), 1)
  const angle = Math.acos(p)
  return (angle - Math.sin(angle) * Math.cos(angle)) / Math.PI
}

describe('blur in depth order', () => {
  it('of near things covers far sharpness, as softly inside as outside', () => {
    const out = layeredBlur(halves(1, 0.2), { at: (x) => (x < 30 ? -8 : 0), most: 8 }, ROUND, FRAME)
    for (const x of [24, 27, 29, 30, 32, 35]) {
      const near = beyond((x + 0.5 - 30) / 8)
      expect(Math.abs(at(out, x, 18) - (near + 0.2 * (1 - near)))).toBeLessThan(0.04)
    }
    expect(at(out, 40, 18)).toBeCloseTo(0.2, 6)
    expect(at(out, 30, 18, 3)).toBeCloseTo(1, 3)
  })

  it('of far things never comes over a near edge, nor the near edge into it', () => {
    const out = layeredBlur(halves(0.2, 5), { at: (x) => (x < 30 ? 0 : 8), most: 8 }, ROUND, FRAME)
    for (let x = 12; x < 30; x++) expect(at(out, x, 18)).toBeCloseTo(0.2, 6)
    for (let x = 30; x < 48; x++) expect(at(out, x, 18)).toBeCloseTo(5, 5)
  })

  it('of one radius is that of a disc', () => {
    const image = emptyImage({ x: 0, y: 0, width: 24, height: 20 })
    for (let i = 0; i < image.data.length; i++) image.data[i] = uniform(6, 0, i, 0, 0)
    const [ours, disc] = [layeredBlur(image, { at: () => 5, most: 5 }, ROUND, FRAME), discBlur(image, 5)]
    for (let y = 8; y < 12; y++)
      for (let x = 8; x < 16; x++) expect(at(ours, x, y)).toBeCloseTo(at(disc, x, y), 2)
  })

  it('keeps an even picture even along a slope of radii that goes through the focus', () => {
    const out = layeredBlur(halves(0.7, 0.7), { at: (x) => (x - 30) / 5, most: 6 }, ROUND, FRAME)
    for (let x = 10; x < 50; x++) expect(Math.abs(at(out, x, 18) - 0.7)).toBeLessThan(1e-5)
  })

  it('draws a smooth picture along a steep slope of radii smoothly, and as rays through a lens do', () => {
    const [across, tall, around] = [16, 160, 120]
    const seen = { x: 0, y: 0, width: across, height: tall }
    const light = (y: number) => 0.1 + 0.5 * (0.5 - 0.5 * Math.cos((Math.PI * y) / tall))
    const image = emptyImage({
      x: -around,
      y: -around,
      width: across + 2 * around,
      height: tall + 2 * around,
    })
    const { width, height } = image.region
    for (let i = 0; i < width * height; i++) {
      const v = light(Math.floor(i / width) - around + 0.5)
      image.data.set([v, v, v, 1], 4 * i)
    }
    const code = (v: number) => 255 * v ** (1 / 2.4)
    for (const [top, bottom] of [
      [0, -48],
      [-10, -60],
      [40, -8],
    ] as const) {
      const slope = (bottom - top) / tall
      const radius = (y: number) => top + slope * Math.min(Math.max(y + 0.5, -around), tall + around)
      const out = layeredBlur(image, { at: (_, y) => radius(y), most: 96 }, ROUND, seen, seen)
      const codes = Array.from({ length: tall }, (_, y) => code(at(out, 8, y)))
      const bends = codes.slice(2).map((v, i) => v - 2 * (codes[i + 1] as number) + (codes[i] as number))
      expect(Math.max(...bends.map(Math.abs))).toBeLessThan(0.5)
      for (const y of [20, 80, 140]) {
        // Every place u of the opening sees one point p of the slope: p = y + u · r(p). Less than 2 px of a blur of 70 are 3 codes.
        const [sum, all] = Array.from({ length: 401 }, (_, i) => i / 200.5 - 0.9975).reduce(
          ([s, w], u) => {
            const weight = Math.sqrt(1 - u * u)
            return [s + weight * light((y + 0.5 + u * top) / (1 - u * slope)), w + weight]
          },
          [0, 0],
        )
        expect(Math.abs((codes[y] as number) - code(sum / all))).toBeLessThan(3.5)
      }
    }
  })

  it('draws a bright point as the opening, at its own radius', () => {
    const image = emptyImage({ x: 0, y: 0, width: 41, height: 41 })
    image.data[4 * (20 * 41 + 20)] = 100
    const out = layeredBlur(image, { at: () => 9, most: 9 }, { ...ROUND, blades: 6, squeeze: 0.5 }, FRAME)
    expect(out.data.reduce((a, b) => a + b, 0)).toBeCloseTo(100, 2)
    expect(at(out, 20, 27)).toBeGreaterThan(0.5)
    expect(at(out, 27, 20)).toBe(0)
  })

  it('gives the same bits from a part as from the whole', () => {
    const part = (r: Region) => {
      const image = emptyImage(r)
      for (let y = 0; y < r.height; y++)
        for (let x = 0; x < r.width; x++)
          for (let c = 0; c < 4; c++)
            image.data[4 * (y * r.width + x) + c] = uniform(8, 0, r.x + x, r.y + y, c)
      return image
    }
    const radius = (x: number, y: number) => (x + y) / 8 - 7
    const whole = layeredBlur(
      part({ x: 0, y: 0, width: 70, height: 60 }),
      { at: radius, most: 5 },
      ROUND,
      FRAME,
    )
    const by = layeredReach(5, ROUND)
    const own = { x: 30, y: 26, width: 6, height: 5 }
    const some = layeredBlur(
      part({ x: 30 - by, y: 26 - by, width: 6 + 2 * by, height: 5 + 2 * by }),
      { at: radius, most: 5 },
      ROUND,
      FRAME,
    )
    expect(cropImage(some, own).data).toEqual(cropImage(whole, own).data)
  })
})
