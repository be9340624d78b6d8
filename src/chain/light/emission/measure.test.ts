import { describe, expect, it } from 'vitest'
import { emptyImage, type FloatImage, type Rgb, told } from '../../../core/index.js'
import { measureEmitter } from './measure.js'

/** xy of black bodies, CIE 1931 (colour-science, `sd_blackbody`; 2856 K: CIE A). */
const LOCUS: readonly (readonly [number, number, number])[] = [
  [1500, 0.5857, 0.3931],
  [1900, 0.5378, 0.4112],
  [2000, 0.5267, 0.4133],
  [2856, 0.44757, 0.40745],
]

/** Linear BT.709 at luminance 1 (matrix of IEC 61966-2-1); what lies outside is cut. */
function planck(kelvin: number): Rgb {
  const found = LOCUS.find((l) => l[0] === kelvin)
  if (found === undefined) throw new Error(`no check value for ${kelvin} K`)
  const [, x, y] = found
  const xyz = [x / y, 1, (1 - x - y) / y] as const
  const row = (a: number, b: number, c: number) => Math.max(a * xyz[0] + b * xyz[1] + c * xyz[2], 0)
  return [
    row(3.2404542, -1.5371385, -0.4985314),
    row(-0.969266, 1.8760108, 0.041556),
    row(0.0556434, -0.2040259, 1.0572252),
  ]
}

/** A flame of one body: luminance falls from `peak` to nothing; every channel is clipped at 1. Gives its true half-light too. */
function flame(peak: number, body: Rgb, rim: Rgb): { image: FloatImage; half: number } {
  const size = 160
  const image = emptyImage({ x: 0, y: 0, width: size, height: size })
  const lights: number[] = []
  for (let y = 0; y < size; y++) {
    for (let x = 0; x < size; x++) {
      const d = Math.hypot((x - 80) / 40, (y - 84) / 70)
      const light = peak * Math.max(1 - d ** 3, 0)
      if (light > 0.005) lights.push(light)
      const warm = Math.min(light / (0.3 * peak), 1)
      for (const c of [0, 1, 2] as const) {
        const colour = rim[c] + (body[c] - rim[c]) * warm
        image.data[4 * (y * size + x) + c] = Math.min(light * colour, 1)
      }
    }
  }
  lights.sort((a, b) => b - a)
  const total = lights.reduce((a, b) => a + b, 0)
  let sum = 0
  const half = lights.find((l) => {
    sum += l
    return sum >= total / 2
  })
  return { image, half: half as number }
}

function measured(image: FloatImage) {
  const m = measureEmitter([image], [0], 1, 'bt709')
  if (!told(m)) throw new Error(m.cannotTell)
  return m.value
}

describe('emitter meter', () => {
  // Red is clipped in the body and green is whole up to a luminance of 0.9 / P_g: 1.4 at 1900 K, some 1.4 at 2000 K.
  it.each([
    [1500, 1],
    [1900, 1.2],
    [2000, 1.2],
    [2856, 0.9],
    [2856, 1.6],
  ])('finds the body of a flame of %i K and peak %f, clipped at 1', (kelvin, peak) => {
    const p = planck(kelvin)
    const { image, half } = flame(peak, p, p)
    const m = measured(image)
    expect(Math.abs(m.temperature / kelvin - 1)).toBeLessThan(0.05)
    expect(Math.abs(Math.log2(m.body / half))).toBeLessThan(0.3)
    expect(m.clipped).toBeGreaterThan(0.3)
  })

  // Blue rises as green^1.25 by construction; the file keeps green up to 1 of the peak's 3.
  it('finds the body of a flame whose core is far above the ceiling by the rise of its blue', () => {
    const size = 240
    const image = emptyImage({ x: 0, y: 0, width: size, height: size })
    let squares = 0
    let all = 0
    for (let p = 0; p < size * size; p++) {
      const d = Math.hypot(((p % size) - 120) / 60, (Math.floor(p / size) - 120) / 100)
      const green = 3 * Math.max(1 - d ** 1.5, 0)
      const whole = [3.2 * green, green, 0.1 * green ** 1.25]
      const light = 0.2126 * (whole[0] as number) + 0.7152 * green + 0.0722 * (whole[2] as number)
      squares += light * light
      all += light
      for (const c of [0, 1, 2]) image.data[4 * p + c] = Math.min(whole[c] as number, 1)
    }
    const m = measured(image)
    expect(m.rise?.power).toBeCloseTo(1.25, 1)
    expect(m.rise?.gain).toBeCloseTo(0.1, 2)
    expect(Math.abs(Math.log2((m.body * all) / squares))).toBeLessThan(0.1)
  })

  it('claims no rise where the flame shows none', () => {
    const p = planck(1900)
    expect(measured(flame(1.2, p, p).image).rise).toBeUndefined()
  })

  it('is not misled by a cooler rim', () => {
    const { image, half } = flame(1.6, planck(2856), planck(1900))
    const m = measured(image)
    expect(Math.abs(m.temperature / 2856 - 1)).toBeLessThan(0.05)
    expect(Math.abs(Math.log2(m.body / half))).toBeLessThan(0.3)
  })

  it('cannot tell from a picture that is dark, or white all over', () => {
    const image = emptyImage({ x: 0, y: 0, width: 64, height: 64 })
    expect(told(measureEmitter([image], [0], 1, 'bt709'))).toBe(false)
    image.data.fill(1)
    expect(told(measureEmitter([image], [0], 1, 'bt709'))).toBe(false)
  })
})
