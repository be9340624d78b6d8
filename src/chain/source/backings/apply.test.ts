import { describe, expect, it } from 'vitest'
import { emptyImage, type FloatImage, type Rgb, uniform } from '../../../core/index.js'
import { type Backed, triangulated } from './apply.js'

function filled(colours: readonly Rgb[]): FloatImage {
  const image = emptyImage({ x: 0, y: 0, width: colours.length, height: 1 })
  colours.forEach((c, p) => {
    image.data.set([...c, 1], 4 * p)
  })
  return image
}
const backed = (light: readonly Rgb[], backing: Rgb): Backed => ({
  light: filled(light),
  backing: filled(light.map(() => backing)),
})

describe('two backings', () => {
  // [smith1996] theorem 4, by hand: F = (.3, .15, .06) premultiplied, α = .6.
  it.each([
    ['blue and green', [0.3, 0.15, 0.46], [0, 0, 1], [0.3, 0.55, 0.06], [0, 1, 0]],
    ['two greys', [0.66, 0.51, 0.42], [0.9, 0.9, 0.9], [0.34, 0.19, 0.1], [0.1, 0.1, 0.1]],
  ] as const)('of %s give back the thing itself', (_, c1, b1, c2, b2) => {
    const { data } = triangulated(backed([c1], b1), backed([c2], b2)).image
    for (const [i, v] of [0.3, 0.15, 0.06, 0.6].entries()) expect(data[i]).toBeCloseTo(v, 6)
  })

  // A flame adds light and hides nothing: C = F + B.
  it('keep light that covers nothing', () => {
    const glow: Rgb = [0.5, 0.2, 0.05]
    const over = (b: Rgb): Rgb => [glow[0] + b[0], glow[1] + b[1], glow[2] + b[2]]
    const { data } = triangulated(
      backed([over([0, 0, 0])], [0, 0, 0]),
      backed([over([0.8, 0.8, 0.8])], [0.8, 0.8, 0.8]),
    ).image
    expect(data[3]).toBeCloseTo(0, 6)
    for (const c of [0, 1, 2]) expect(data[c]).toBeCloseTo(glow[c] as number, 6)
  })

  // σα = √2 σ / ‖ΔB‖ = √2 · 0.01 / (0.8 √3) = 0.010206; 40,000 draws know it to 0.4 %.
  it('spread by the law of their noise', () => {
    const n = 40_000
    const normal = (k: number, c: number) =>
      Array.from({ length: 12 }, (_, j) => uniform(3, j, k, c, 0)).reduce((a, b) => a + b, -6)
    const noisy = ([r, g, b]: Rgb, seed: number) =>
      Array.from({ length: n }, (_, k): Rgb => {
        const v = (c: number) => 0.01 * normal(k + n * seed, c)
        return [r + v(0), g + v(1), b + v(2)]
      })
    const { data } = triangulated(
      backed(noisy([0.66, 0.51, 0.42], 0), [0.9, 0.9, 0.9]),
      backed(noisy([0.34, 0.19, 0.1], 1), [0.1, 0.1, 0.1]),
    ).image
    const alphas = Array.from({ length: n }, (_, p) => data[4 * p + 3] as number)
    const mean = alphas.reduce((a, b) => a + b, 0) / n
    const sigma = Math.sqrt(alphas.reduce((a, b) => a + (b - mean) ** 2, 0) / n)
    expect(Math.abs(mean - 0.6)).toBeLessThan(2e-4)
    expect(Math.abs(sigma / 0.010206 - 1)).toBeLessThan(0.015)
  })

  it('of one light tell nothing, and say so', () => {
    const same = backed([[0.3, 0.3, 0.3]], [0.5, 0.5, 0.5])
    expect(triangulated(same, same).alike).toBe(1)
  })

  it('bare, within their noise, are nothing at all', () => {
    const one = backed([[0.902, 0.899, 0.9]], [0.9, 0.9, 0.9])
    const two = backed([[0.101, 0.1, 0.1]], [0.1, 0.1, 0.1])
    expect([...triangulated(one, two, 0.01).image.data]).toEqual([0, 0, 0, 0])
  })
})
