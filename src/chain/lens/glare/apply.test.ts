import { describe, expect, it } from 'vitest'
import { emptyImage, type FloatImage, intersect } from '../../../core/index.js'
import { glareNeeds, glareReach, paddedTo, withGlare } from './apply.js'

const glare = { share: 0.2, width: 6 }
const frame = { x: 0, y: 0, width: 200, height: 160 }

function point(light: number) {
  const image = emptyImage({ x: 98, y: 78, width: 5, height: 5 })
  image.data.set([light, 0.5 * light, 0, 0.7], 4 * 12)
  return image
}
const at = (image: ReturnType<typeof emptyImage>, x: number, y: number) =>
  image.data.subarray(4 * ((y - image.region.y) * image.region.width + x - image.region.x))

describe('glare', () => {
  // Sums to 1: what the skirt holds the core has lost, and no more, however little of it is drawn: of six points of 9 px of white all but nothing is.
  it('moves light and makes none', () => {
    const big = { x: -100, y: -100, width: 400, height: 360 }
    const sums = (image: FloatImage) =>
      [0, 1, 2].map((c) => image.data.reduce((sum, v, i) => (i % 4 === c ? sum + v : sum), 0))
    for (const light of [1000, 1, 0.01]) {
      const out = withGlare(point(light), glare, big, big)
      for (const [c, whole] of [light, light / 2, 0].entries())
        expect(Math.abs((sums(out)[c] as number) - whole)).toBeLessThanOrEqual(2e-5 * whole)
      expect(at(out, 100, 80)[3]).toBeCloseTo(0.7, 6)
      expect(at(out, 110, 80)[3]).toBe(0)
    }
    const six = emptyImage({ x: 40, y: 40, width: 120, height: 80 })
    for (let n = 0; n < 6; n++)
      for (let p = 0; p < 9; p++)
        at(six, 55 + 30 * (n % 3) + (p % 3), 60 + 30 * Math.floor(n / 3) + Math.floor(p / 3)).fill(1, 0, 3)
    const wide = { x: -170, y: -170, width: 520, height: 500 }
    for (const share of [0.05, 0.3])
      for (const sum of sums(withGlare(six, { share, width: 16 }, wide, wide)))
        expect(Math.abs(sum - 54)).toBeLessThan(54 * 2e-5)
  })

  it('draws the two Gaussians of the formula around a point', () => {
    const out = withGlare(point(1000), glare, frame, frame)
    for (const [x, y] of [
      [100, 80],
      [104, 80],
      [112, 88],
      [70, 90],
    ] as const) {
      const rr = (x - 100) ** 2 + (y - 80) ** 2
      const gauss = (s: number) => Math.exp(-rr / (2 * s * s)) / (2 * Math.PI * s * s)
      // What is too dim to be drawn stays: of A·e^(−r²/2σ²), less what is drawn of it from 2⁻¹⁴ to 2⁻¹³, 2 ln 2 · 2⁻¹⁴ · 2πσ² by hand.
      const core = rr === 0 ? 0.8 * 1000 + 2 * Math.LN2 * 2 ** -14 * 2 * Math.PI * 18 ** 2 : 0
      const expected = core + 200 * (0.5 * gauss(6) + 0.5 * gauss(18))
      expect(Math.abs((at(out, x, y)[0] as number) - expected)).toBeLessThan(2e-3 * 200 * gauss(6) + 3e-4)
    }
  })

  it('ends where it says', () => {
    const by = glareReach(glare).touches({ x: 100, y: 80, width: 1, height: 1 })
    const wide = { x: by.x - 4, y: by.y - 4, width: by.width + 8, height: by.height + 8 }
    const out = withGlare(point(1e6), glare, wide, wide)
    expect(at(out, by.x - 1, 80)[0]).toBe(0)
    expect(at(out, 100, by.y - 1)[0]).toBe(0)
  })

  it('is itself in any part, from the light that a part needs', () => {
    for (const light of [1e6, 3]) {
      const whole = withGlare(point(light), glare, frame, frame)
      for (const part of [
        { x: 60, y: 70, width: 30, height: 20 },
        { x: 95, y: 75, width: 6, height: 6 },
        { x: 101, y: 0, width: 99, height: 160 },
      ]) {
        const needed = paddedTo(point(light), intersect(glareNeeds(glare, part), frame))
        expect(withGlare(needed, glare, part, frame).data).toEqual(paddedTo(whole, part).data)
      }
    }
  })
})
