import { describe, expect, it } from 'vitest'
import { emptyImage } from '../../../core/index.js'
import { glareReach, withGlare } from './apply.js'

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
  // Sums to 1: what the skirt holds the core has lost, less what is too dim to be drawn (2⁻¹⁴ a pixel at most).
  it('moves light and makes none', () => {
    const big = { x: -100, y: -100, width: 400, height: 360 }
    const out = withGlare(point(1000), glare, big)
    const sums = [0, 1, 2].map((c) => out.data.reduce((sum, v, i) => (i % 4 === c ? sum + v : sum), 0))
    const most = (big.width * big.height) / 2 ** 14
    for (const [c, whole] of [1000, 500, 0].entries()) {
      expect(sums[c]).toBeLessThanOrEqual(whole * (1 + 1e-4))
      expect(sums[c]).toBeGreaterThan(whole * (1 - 1e-4) - most)
    }
    expect(at(out, 100, 80)[3]).toBeCloseTo(0.7, 6)
    expect(at(out, 110, 80)[3]).toBe(0)
  })

  it('draws the two Gaussians of the formula around a point', () => {
    const out = withGlare(point(1000), glare, frame)
    for (const [x, y] of [
      [100, 80],
      [104, 80],
      [112, 88],
      [70, 90],
    ] as const) {
      const rr = (x - 100) ** 2 + (y - 80) ** 2
      const gauss = (s: number) => Math.exp(-rr / (2 * s * s)) / (2 * Math.PI * s * s)
      const core = rr === 0 ? 0.8 * 1000 : 0
      const expected = core + 200 * (0.5 * gauss(6) + 0.5 * gauss(18))
      expect(Math.abs((at(out, x, y)[0] as number) - expected)).toBeLessThan(2e-3 * 200 * gauss(6) + 3e-4)
    }
  })

  it('ends where it says, and is itself in any part', () => {
    const by = glareReach(glare).touches({ x: 100, y: 80, width: 1, height: 1 })
    const wide = { x: by.x - 4, y: by.y - 4, width: by.width + 8, height: by.height + 8 }
    const out = withGlare(point(1e6), glare, wide)
    expect(at(out, by.x - 1, 80)[0]).toBe(0)
    expect(at(out, 100, by.y - 1)[0]).toBe(0)
    const part = withGlare(point(1e6), glare, { x: 60, y: 70, width: 30, height: 20 })
    for (const [x, y] of [
      [60, 70],
      [89, 89],
      [75, 80],
    ] as const)
      expect(at(part, x, y).slice(0, 4)).toEqual(at(out, x, y).slice(0, 4))
  })
})
