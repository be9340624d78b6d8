import { describe, expect, it } from 'vitest'
import { emptyImage, type FloatImage, type Rgb, told, uniform } from '../../../core/index.js'
import { type Mark, visibilityFromMarks } from './measure.js'

const AIR: Rgb = [0.7, 0.55, 0.45]
const WHITE: Rgb = [0.14, 0.17, 0.2]
const region = { x: 60, y: 30, width: 8, height: 20 }

/** Towers before open air by Koschmieder's law, I = J·t + A·(1 − t), with noise of 1 %; the sun glows on the right. */
function view(towers: readonly { x: number; t: number; rho: number }[]): FloatImage {
  const image = emptyImage({ x: 0, y: 0, width: 128, height: 72 })
  for (let p = 0; p < 128 * 72; p++) {
    const x = p % 128
    const tower = towers.find((t) => x >= t.x && x < t.x + 8)
    for (const c of [0, 1, 2] as const) {
      const glow = x > 100 ? 0.25 : 0
      const air = AIR[c] + glow
      const v = tower === undefined ? air : tower.rho * WHITE[c] * tower.t + air * (1 - tower.t)
      image.data[4 * p + c] = v * (1 + 0.03 * (uniform(5, 0, p, 0, c) - 0.5))
    }
    image.data[4 * p + 3] = 1
  }
  return image
}

const read = (image: FloatImage, marks: Omit<Mark, 'image' | 'frame'>[], white?: Rgb) => {
  const m = visibilityFromMarks(
    marks.map((mark) => ({ ...mark, image, frame: 0 })),
    white,
    [0.2126, 0.7152, 0.0722],
    1,
  )
  return told(m) ? m.value : m.cannotTell
}

describe('visibility from marks', () => {
  // Koschmieder with the 2 % threshold: a black object at 0.1 V keeps 0.02^0.1 = 67.6 % of its contrast, at V 2 %.
  it.each([
    [2000, 200],
    [2000, 700],
    [800, 500],
  ])('of %i m is found from a black mark at %i m', (v, d) => {
    const found = read(view([{ x: 60, t: 0.02 ** (d / v), rho: 0 }]), [
      { region, distanceM: d, reflectance: 0 },
    ])
    expect(found).toBeGreaterThan(0.97 * v)
    expect(found).toBeLessThan(1.03 * v)
  })

  it("takes the mark's own light off, where the light of the place is known", () => {
    const found = read(
      view([{ x: 60, t: 0.02 ** 0.35, rho: 0.5 }]),
      [{ region, distanceM: 700, reflectance: 0.5 }],
      WHITE,
    )
    expect(found).toBeGreaterThan(0.97 * 2000)
    expect(found).toBeLessThan(1.03 * 2000)
  })

  // The shore behind is no air yet: at 0.75 V it keeps 5.3 % of its contrast.
  it('looks past a shore behind the mark, whose distance is known', () => {
    const image = view([{ x: 60, t: 0.02 ** 0.35, rho: 0 }])
    const t = 0.02 ** 0.75
    for (let p = 0; p < 128 * 72; p++)
      for (const c of [0, 1, 2] as const)
        if (p % 128 < 60 || p % 128 >= 68) image.data[4 * p + c] = AIR[c] * (1 - t)
    const mark = { region, distanceM: 700, reflectance: 0 }
    expect(read(image, [{ ...mark, behindM: 1500 }])).toBeCloseTo(2000, -1.5)
    expect(read(image, [mark])).toBeLessThan(0.97 * 2000)
  })

  it('looks at the side without the glow, and at the middle of several marks', () => {
    const image = view([90, 60, 30].map((x) => ({ x, t: 0.02 ** 0.35, rho: 0 })))
    const marks = [90, 60, 30].map((x) => ({ region: { ...region, x }, distanceM: 700, reflectance: 0 }))
    const found = read(image, [
      marks[0] as never,
      { ...(marks[1] as object), distanceM: 1100 } as never,
      marks[2] as never,
    ])
    expect(found).toBeGreaterThan(0.97 * 2000)
    expect(found).toBeLessThan(1.03 * 2000)
  })

  // A low sun drives red into the clip first.
  it('leaves out a channel that is clipped beside the mark', () => {
    const image = view([{ x: 60, t: 0.02 ** 0.35, rho: 0 }])
    for (let p = 0; p < 128 * 72; p++) image.data[4 * p] = Math.min(1.6 * (image.data[4 * p] as number), 1)
    const found = read(image, [{ region, distanceM: 700, reflectance: 0 }])
    expect(found).toBeGreaterThan(0.97 * 2000)
    expect(found).toBeLessThan(1.03 * 2000)
    image.data.fill(1)
    expect(read(image, [{ region, distanceM: 700, reflectance: 0 }])).toMatch(/clipped/)
  })

  it('cannot tell where nothing stands, where it is too near or all but gone, and at the border', () => {
    const mark = { region, distanceM: 700, reflectance: 0 }
    expect(read(view([]), [mark])).toMatch(/no darker/)
    expect(read(view([{ x: 60, t: 0.98, rho: 0 }]), [mark])).toMatch(/too near/)
    expect(read(view([{ x: 60, t: 0.035, rho: 0 }]), [mark])).toMatch(/all but gone/)
    expect(read(view([]), [{ ...mark, region: { ...region, x: 126 } }])).toMatch(/no room/)
    expect(read(view([]), [])).toBe('no marks')
  })
})
