import { describe, expect, it } from 'vitest'
import { uniform } from '../../../../core/index.js'
import { measureEdges } from './measure.js'

const SIZE = 200

/** Abramowitz & Stegun 7.1.26. */
function erf(x: number): number {
  const t = 1 / (1 + 0.3275911 * Math.abs(x))
  const poly = ((((1.061405429 * t - 1.453152027) * t + 1.421413741) * t - 0.284496736) * t + 0.254829592) * t
  return Math.sign(x) * (1 - poly * Math.exp(-x * x))
}

const gaussian = (sigma: number) => (s: number) => 0.5 * (1 + erf(s / (sigma * Math.SQRT2)))

const disc = (radius: number) => (s: number) => {
  const part = Math.min(Math.max(s / radius, -1), 1)
  return 0.5 + (part * Math.sqrt(1 - part * part) + Math.asin(part)) / Math.PI
}

/** Stripes at two slants, `apart` px wide, each pixel the mean over itself of what was blurred over the weights' own pixel. */
function stripes(spread: (s: number) => number, apart: number, noise: number) {
  const values = new Float64Array(SIZE * SIZE)
  const parts = [-0.75, -0.25, 0.25, 0.75].flatMap((u) =>
    [-0.75, -0.25, 0.25, 0.75].map((v) => ({ u, v, w: (1 - Math.abs(u)) * (1 - Math.abs(v)) })),
  )
  const whole = parts.reduce((sum, p) => sum + p.w, 0)
  for (let y = 0; y < SIZE; y++)
    for (let x = 0; x < SIZE; x++) {
      const turn = y < SIZE / 2 ? 0.12 : 1.4
      let light = 0
      for (const { u, v, w } of parts) {
        const s = (x + u) * Math.cos(turn) + (y + v - SIZE / 2) * Math.sin(turn)
        const nearest = Math.round(s / apart)
        const up = nearest % 2 === 0 ? 1 : -1
        light += (w / whole) * (0.5 + up * 0.4 * (spread(s - nearest * apart) - 0.5))
      }
      values[y * SIZE + x] = light + noise * (uniform(5, 0, x, y, 0) - 0.5)
    }
  return { width: SIZE, height: SIZE, values }
}

describe('blur from edges', () => {
  it.each([1, 2.2, 3.4, 6])('of a disc comes back, r = %f', (radius) => {
    const read = measureEdges(stripes(disc(radius), 24 + 3 * radius, 0.01))
    expect('radius' in read && Math.abs(read.radius - radius)).toBeLessThan(0.05 * radius + 0.1)
    expect('radius' in read && read.spread).toBeLessThan(0.15 * radius)
    // Blurred once more.
    expect('radius' in read && Math.abs(read.again.radius - radius)).toBeLessThan(0.08 * radius + 0.1)
  })

  // Of the same variance along each axis is r = 2σ; a Gaussian's long feet count for less beside a disc.
  it.each([1.5, 2.5])(
    'of a Gaussian is nearly that of a disc of its variance, and its shape is told, σ = %f',
    (sigma) => {
      const read = measureEdges(stripes(gaussian(sigma), 50, 0))
      expect('radius' in read && Math.abs(read.radius / (2 * sigma) - 1)).toBeLessThan(0.2)
      expect(read).toMatchObject({ shape: 'gaussian' })
    },
  )

  it('is not told by what has no edge: noise, a slope, soft clouds', () => {
    const picture = (light: (x: number, y: number) => number) => ({
      ...{ width: SIZE, height: SIZE },
      values: Float64Array.from({ length: SIZE * SIZE }, (_, i) => light(i % SIZE, Math.floor(i / SIZE))),
    })
    for (const light of [
      (x: number, y: number) => 0.3 + 0.01 * uniform(4, 0, x, y, 0),
      (x: number, y: number) => 0.2 + 0.002 * x + 0.001 * y + 0.002 * uniform(4, 0, x, y, 0),
      (x: number, y: number) => 0.4 + 0.2 * Math.sin(x / 31) * Math.cos(y / 37),
    ])
      expect(measureEdges(picture(light))).toHaveProperty('cannotTell')
  })
})
