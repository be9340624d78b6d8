import { describe, expect, it } from 'vitest'
import { emptyImage, type FloatImage, told, uniform } from '../../../core/index.js'
import { measureAberration } from './measure.js'

const WIDTH = 480
const HEIGHT = 320
const CORNER = Math.hypot(WIDTH, HEIGHT) / 2

/** Abramowitz & Stegun 7.1.26, |error| < 1.5e-7. */
function erf(x: number): number {
  const t = 1 / (1 + 0.3275911 * Math.abs(x))
  const poly = ((((1.061405429 * t - 1.453152027) * t + 1.421413741) * t - 0.284496736) * t + 0.254829592) * t
  return Math.sign(x) * (1 - poly * Math.exp(-x * x))
}

/** Discs with soft rims, each of two colours of its own, drawn so much larger in red and in blue: by formula, without a map. */
function discs(red: number, blue: number, noise = 0.003): FloatImage {
  const image = emptyImage({ x: 0, y: 0, width: WIDTH, height: HEIGHT })
  const factors = [red, 1, blue]
  for (let y = 0; y < HEIGHT; y++) {
    for (let x = 0; x < WIDTH; x++) {
      for (let c = 0; c < 3; c++) {
        // What lies here in this colour comes from there.
        const u = (x + 0.5 - WIDTH / 2) / (factors[c] as number) + WIDTH / 2
        const v = (y + 0.5 - HEIGHT / 2) / (factors[c] as number) + HEIGHT / 2
        const [i, j] = [Math.floor(u / 40), Math.floor(v / 40)]
        const from = 0.15 + 0.1 * uniform(5, 0, i, j, c)
        const rise = 0.3 + 0.3 * uniform(5, 1, i, j, c)
        const inside = 12 - Math.hypot(u - 40 * i - 20, v - 40 * j - 20)
        const share = 0.5 * (1 + erf(inside / (1.2 * Math.SQRT2)))
        image.data[4 * (y * WIDTH + x) + c] = from + rise * share + noise * (uniform(6, 0, x, y, c) - 0.5)
      }
    }
  }
  return image
}

const whole = { x: false, y: false }

describe('lateral aberration', () => {
  it.each([
    [1.004, 0.997],
    [0.9985, 1.0005],
    [1, 1],
  ])('of discs of many colours is found within 0.05 px at the corner: %f, %f', (red, blue) => {
    const read = measureAberration([{ frame: 3, code: discs(red, blue) }], whole)
    if (!told(read)) throw new Error(read.cannotTell)
    for (const [c, k] of [red, blue].entries()) {
      const off = Math.abs((read.value.factors[c] as number) - k) * CORNER
      expect(off).toBeLessThan(0.05)
      expect(off).toBeLessThan(3 * (read.value.spreads[c] as number) * CORNER)
    }
    expect(read.evidence).toMatchObject({ kind: 'measured', frames: [3] })
  })

  it('is not told without edges, nor with edges in the middle alone', () => {
    const flat = emptyImage({ x: 0, y: 0, width: WIDTH, height: HEIGHT })
    flat.data.forEach((_, i) => {
      flat.data[i] = 0.3 + 0.004 * uniform(7, 0, i, 0, 0)
    })
    expect(measureAberration([{ frame: 0, code: flat }], whole)).toEqual({
      cannotTell: 'red: 0 edges away from the middle tell it, 40 are needed',
    })
    const middle = discs(1.004, 0.997)
    for (let p = 0; p < WIDTH * HEIGHT; p++) {
      const [x, y] = [(p % WIDTH) - WIDTH / 2, Math.floor(p / WIDTH) - HEIGHT / 2]
      if (Math.hypot(x, y) > 60) middle.data.set([0.3, 0.3, 0.3], 4 * p)
    }
    expect(told(measureAberration([{ frame: 0, code: middle }], whole))).toBe(false)
    expect(told(measureAberration([], whole))).toBe(false)
  })

  // A scene in red light alone has no blue edges: half an answer is none.
  it('is not told where a colour has no edges', () => {
    const red = discs(1.004, 0.997)
    for (let i = 0; i < red.data.length; i += 4) red.data[i + 2] = 0.02
    const read = measureAberration([{ frame: 0, code: red }], whole)
    expect(told(read) ? '' : read.cannotTell).toMatch(/^blue/)
  })
})
