import { describe, expect, it } from 'vitest'
import { noise } from '../../../test/colour/cameras.js'
import { fitSpline, type SplineSample } from './spline.js'

const samples = (n: number, f: (x: number) => number): SplineSample[] =>
  Array.from({ length: n }, (_, i) => ({ x: (10 * i) / (n - 1), y: f((10 * i) / (n - 1)), weight: 1 }))

describe('penalised spline', () => {
  it('gives a parabola back exactly, value and slope: third differences leave it alone', () => {
    const fit = fitSpline(
      samples(11, (x) => 1 + 2 * x + 0.3 * x * x),
      0,
      10,
      0.5,
      0.001,
    )
    for (let x = 0; x <= 10; x += 0.37) {
      expect(fit.value(x)).toBeCloseTo(1 + 2 * x + 0.3 * x * x, 6)
      expect(fit.slope(x)).toBeCloseTo(2 + 0.6 * x, 6)
    }
    expect(fit.residual).toBeLessThan(1e-6)
  })

  it('rises where the samples do not', () => {
    const dented = samples(15, (x) => x + (x > 4 && x < 6 ? -3 : 0))
    const fit = fitSpline(dented, 0, 10, 0.5, 0.001)
    for (let x = 0; x < 10; x += 0.1) expect(fit.value(x + 0.1)).toBeGreaterThan(fit.value(x) - 1e-4)
  })

  it('tells the noise it was given, and a spread below it between many samples', () => {
    const normal = noise(31)
    const fit = fitSpline(
      samples(200, (x) => Math.log(1 + x) + 0.05 * normal()),
      0,
      10,
      0.5,
      0.001,
    )
    expect(fit.residual).toBeGreaterThan(0.04)
    expect(fit.residual).toBeLessThan(0.06)
    expect(fit.spread(5)).toBeLessThan(0.025)
    expect(Math.abs(fit.value(5) - Math.log(6))).toBeLessThan(3 * fit.spread(5))
  })

  it('is less sure across a gap', () => {
    const gap = samples(41, (x) => x ** 0.45).filter(({ x }) => x < 3 || x > 7)
    const fit = fitSpline(gap, 0, 10, 0.5, 0.001)
    expect(fit.spread(5)).toBeGreaterThan(2 * fit.spread(2))
  })
})
