import { describe, expect, it } from 'vitest'
import { emptyImage, type FloatImage, type Rgb, told, uniform } from '../../core/index.js'
import { curveTable } from '../../kernels/index.js'
import { coverFromLight, toPremultiplied } from './alpha/apply.js'
import { replaceNotFinite } from './finite.js'
import { removeFloor } from './floor/apply.js'
import { measureFloor } from './floor/measure.js'

const pixel = (...v: number[]): FloatImage => ({
  region: { x: 0, y: 0, width: 1, height: 1 },
  data: Float32Array.from(v),
})
const square = curveTable((x) => x * x)

describe('alpha kinds', () => {
  it('straight: decoded, then multiplied', () => {
    const p = pixel(0.5, 0.8, 1, 0.5)
    toPremultiplied(p, 'straight', square)
    expect(p.data[0]).toBeCloseTo(0.125, 5)
    expect(p.data[1]).toBeCloseTo(0.32, 5)
  })

  it('premultiplied: decoded as the colour that it stands for; a glow without cover is kept', () => {
    const p = pixel(0.25, 0.4, 0.5, 0.5)
    toPremultiplied(p, 'premultiplied', square)
    expect(p.data[0]).toBeCloseTo(0.125, 5)
    const glow = pixel(0.5, 0.25, 0, 0)
    toPremultiplied(glow, 'premultiplied', square)
    expect([...glow.data]).toEqual([0.25, 0.0625, 0, 0].map(Math.fround))
  })

  it('on black: light without cover; what covers gets the least alpha that could have made it', () => {
    const p = pixel(0.5, 1, 0.2, 1)
    toPremultiplied(p, 'on-black', square)
    expect(p.data[3]).toBe(0)
    coverFromLight(p)
    expect(p.data[3]).toBeCloseTo(1, 5)
  })

  // Optical depth −ln(1 − α): two layers of 0.36 cover 1 − 0.64² = 0.5904; half of one 1 − √0.64 = 0.2.
  it.each([
    [1, 0.36],
    [2, 0.5904],
    [0.5, 0.2],
    [0, 0],
  ])('on black, %f times as thick: covers more, and over black is what was shot', (depth, alpha) => {
    const p = pixel(0.6, 0.3, 0.1, 1)
    toPremultiplied(p, 'on-black', square)
    const shot = [...p.data.subarray(0, 3)]
    coverFromLight(p, depth)
    expect(p.data[3]).toBeCloseTo(alpha, 5)
    // C + (1 − α)·0 [porter1984]
    expect([...p.data.subarray(0, 3)]).toEqual(shot)
  })
})

describe('black floor', () => {
  const floor: Rgb = [0.02, 0.015, 0.03]
  const image = emptyImage({ x: 0, y: 0, width: 160, height: 160 })
  const clean = new Float32Array(160 * 160)
  for (let p = 0; p < clean.length; p++) {
    const x = p % 160
    const y = Math.floor(p / 160)
    clean[p] = Math.max(0, 0.6 - Math.hypot(x - 80, y - 80) / 70)
    for (let c = 0; c < 3; c++) {
      image.data[4 * p + c] =
        (clean[p] as number) + (floor[c] as number) + 0.006 * (uniform(7, 0, x, y, c) - 0.5)
    }
  }

  it('is found, taken off, and leaves nothing behind in the empty part', () => {
    const found = measureFloor([image], [0])
    if (!told(found)) throw new Error(found.cannotTell)
    for (const c of [0, 1, 2] as const) {
      expect(found.value.floor[c]).toBeCloseTo(floor[c], 3)
      // Uniform noise of width w has σ = w/√12.
      expect(found.value.noise[c]).toBeCloseTo(0.006 / Math.sqrt(12), 3)
    }
    removeFloor(image, found.value.floor, found.value.noise)
    let empty = 0
    let left = 0
    for (let p = 0; p < clean.length; p++) {
      if (clean[p] !== 0) continue
      empty++
      if (image.data[4 * p] !== 0) left++
    }
    expect(left / empty).toBeLessThan(0.03)
    expect(image.data[4 * (80 * 160 + 80)]).toBeCloseTo(0.6, 1)
  })
})

describe('values that are no light', () => {
  it('NaN is filled from its neighbours, infinity held to the largest half, both counted', () => {
    const image = emptyImage({ x: 0, y: 0, width: 3, height: 3 })
    image.data.fill(0.25)
    image.data[16] = Number.NaN
    image.data[0] = Number.POSITIVE_INFINITY
    image.data[5] = Number.NEGATIVE_INFINITY
    const mark = new Uint8Array(9)
    expect(replaceNotFinite(image, mark)).toEqual({ nan: 1, infinite: 2 })
    expect(image.data[5]).toBe(-65504)
    // Of its neighbours the endless one does not count.
    expect(image.data[16]).toBe(0.25)
    expect([...mark]).toEqual([1, 1, 0, 0, 1, 0, 0, 0, 0])
  })

  it('endless alpha covers all or nothing', () => {
    const image = pixel(0.5, 0.5, 0.5, Number.POSITIVE_INFINITY)
    replaceNotFinite(image)
    expect(image.data[3]).toBe(1)
    image.data[3] = Number.NEGATIVE_INFINITY
    replaceNotFinite(image)
    expect(image.data[3]).toBe(0)
  })
})
