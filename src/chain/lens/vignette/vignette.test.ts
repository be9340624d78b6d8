import { describe, expect, it } from 'vitest'
import { emptyImage, type FloatImage, type Region, told, uniform } from '../../../core/index.js'
import { applyVignette, withoutVignette } from './apply.js'
import { measureVignette } from './measure.js'
import { falloff, falloffAt, type Vignette } from './model.js'

/** Published coefficients of two lenses [lensfun-db], and the gains that its library 0.3.3 gives at the edge and the corner of 1921×1281. */
const CANON_50: Vignette = [-1.4745, 1.1285, -0.4284]
const ZEISS_35: Vignette = [-1.9515, 2.1666, -0.9851]
const frame: Region = { x: 0, y: 0, width: 1921, height: 1281 }

/** A surface of light `level`, with a slope of its own and noise, as a lens dims it: the formula by hand. */
function flat(k: Vignette, { level = 0.4, slope = 0, noise = 0.01, size = [480, 320] } = {}): FloatImage {
  const [width = 0, height = 0] = size
  const image = emptyImage({ x: 0, y: 0, width, height })
  const corner = Math.hypot(width - 1, height - 1) / 2
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const r = Math.hypot(x - (width - 1) / 2, y - (height - 1) / 2) / corner
      const share = 1 + k[0] * r ** 2 + k[1] * r ** 4 + k[2] * r ** 6
      const own = level * (1 + (slope * (x - width / 2)) / width)
      for (let c = 0; c < 3; c++)
        image.data[4 * (y * width + x) + c] = own * share + level * noise * (uniform(8, 0, x, y, c) - 0.5)
      image.data[4 * (y * width + x) + 3] = 1
    }
  }
  return image
}
const read = (image: FloatImage, clip = 1) => measureVignette([{ frame: 0, image }], clip)

describe('vignette', () => {
  it('of published lenses has the gains that the library gives', () => {
    const gain = (v: Vignette, x: number, y: number) => 1 / falloffAt(v, frame, x + 0.5, y + 0.5)
    expect(gain(CANON_50, 1920, 640)).toBeCloseTo(2.64606, 4)
    expect(gain(CANON_50, 1920, 1280)).toBeCloseTo(4.43262, 4)
    expect(gain(ZEISS_35, 1920, 640)).toBeCloseTo(2.77378, 4)
    expect(gain(ZEISS_35, 0, 0)).toBeCloseTo(4.34783, 4)
    expect(falloffAt(CANON_50, frame, 960.5, 640.5)).toBe(1)
  })

  // cos⁴ at the corner of 36 × 24 mm: 24 mm 0.304400, 50 mm 0.709500 (by hand); least squares of the model over all
  // pixels (numpy) leaves 0.012 at the corner of the first, 0.0001 of the second.
  it.each([
    [24, 0.3044, 0.0125],
    [50, 0.7095, 0.005],
  ])('measured off the natural fall-off of %d mm gives cos⁴ at the corner', (f, corner, within) => {
    const image = emptyImage({ x: 0, y: 0, width: 360, height: 240 })
    for (let p = 0; p < 360 * 240; p++) {
      const [x, y] = [((p % 360) + 0.5 - 180) / 10, (Math.floor(p / 360) + 0.5 - 120) / 10]
      const v = 0.5 * Math.cos(Math.atan(Math.hypot(x, y) / f)) ** 4
      image.data.set([v, v, v, 1], 4 * p)
    }
    const found = read(image)
    if (!told(found)) throw new Error(found.cannotTell)
    expect(Math.abs(falloff(found.value, 1) - corner)).toBeLessThan(within)
  })

  it('comes back from a flat frame within 1 % at the edge and the corner, the surface lit unevenly or marked', () => {
    for (const k of [CANON_50, ZEISS_35, [0, 0, 0] as const, [-0.3, 0, 0] as const]) {
      const image = flat(k, { slope: 0.1 })
      for (let y = 40; y < 60; y++)
        for (let x = 100; x < 130; x++) image.data.fill(0.05, 4 * (y * 480 + x), 4 * (y * 480 + x) + 3)
      const found = read(image)
      if (!told(found)) throw new Error(found.cannotTell)
      for (const rr of [0.25, 0.6922, 1]) {
        const truth = 1 + k[0] * rr + k[1] * rr ** 2 + k[2] * rr ** 3
        expect(Math.abs(falloff(found.value, rr) / truth - 1)).toBeLessThan(0.01)
      }
      expect(found.evidence).toMatchObject({ kind: 'measured' })
    }
  })

  it('is not told by what is no flat frame', () => {
    const why = (image: FloatImage) => {
      const found = read(image)
      return told(found) ? '' : found.cannotTell
    }
    expect(why(flat(CANON_50, { level: 1.2 }))).toMatch(/clipped/)
    expect(why(flat(CANON_50, { level: 0 }))).toMatch(/black/)
    expect(why(flat(CANON_50, { slope: 0.6 }))).toMatch(/from a side/)
    expect(why(flat(CANON_50, { size: [48, 32] }))).toMatch(/96 are needed/)
    const scene = flat([0, 0, 0])
    for (let p = 0; p < 480 * 320; p++) {
      const v = 0.05 + 0.5 * uniform(9, 0, Math.floor((p % 480) / 30), Math.floor(p / 480 / 30), 0)
      scene.data.set([v, v, v, 1], 4 * p)
    }
    expect(why(scene)).toMatch(/not even|no fall-off/)
  })

  it('dims light alone, by its place in the frame, and is taken off again', () => {
    const part = { x: 100, y: 50, width: 8, height: 4 }
    const image = emptyImage(part)
    image.data.fill(0.5)
    applyVignette(image, CANON_50, frame)
    const share = falloffAt(CANON_50, frame, 103.5, 52.5)
    const i = 4 * (2 * 8 + 3)
    expect(image.data[i]).toBeCloseTo(0.5 * share, 6)
    expect(image.data[i + 3]).toBe(0.5)
    const back = withoutVignette(image, CANON_50, frame)
    expect(back.data[i]).toBeCloseTo(0.5, 6)
    expect(falloff([-3, 0, 0], 1)).toBe(0.01)
  })
})
