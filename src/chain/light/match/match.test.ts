import { describe, expect, it } from 'vitest'
import { emptyImage, type Rgb, uniform } from '../../../core/index.js'
import { applyMatch, matchTables } from './apply.js'
import { coveredCells, plateCells, pointsOf } from './measure.js'
import { channelMatch } from './model.js'

const grey = (v: number): Rgb => [v, v, v]
const points = (black: number, middle: number, white: number) => ({
  black: grey(black),
  middle: grey(middle),
  white: grey(white),
})

describe('black, middle and white', () => {
  // y = ((x − b)/(w − b))^γ, γ = ln .5 / ln .25 = .5: .25 goes to .5 (by hand).
  it('carries the three points over', () => {
    const f = channelMatch(points(0, 0.25, 1), points(0, 0.5, 1), 0)
    expect(f(0)).toBeCloseTo(0, 12)
    expect(f(0.25)).toBeCloseTo(0.5, 12)
    expect(f(1)).toBeCloseTo(1, 12)
    expect(f(0.0625)).toBeCloseTo(0.25, 12)
  })

  it('runs on below black and above white, and is monotone', () => {
    const f = channelMatch(points(0.1, 0.35, 1.1), points(0.2, 0.7, 1.2), 1)
    expect(f(0)).toBeLessThan(0.2)
    expect(f(5)).toBeGreaterThan(1.2)
    for (let x = -0.2; x < 1.5; x += 0.001) expect(f(x + 0.001)).toBeGreaterThan(f(x))
  })

  // γ = ½ here: a power would make ±0.02 of a span that is ±0.0004.
  it('leaves the mean of noisy blacks where it is and does not tear them apart', () => {
    const f = channelMatch(points(0, 0.25, 1), points(0.1, 0.55, 1), 0)
    expect((f(0.0004) + f(-0.0004)) / 2).toBeCloseTo(0.1, 9)
    expect(f(0.0004) - f(-0.0004)).toBeLessThan(5 * 0.0008)
  })

  it('moves an element without contrast by its middle alone', () => {
    const f = channelMatch(points(0.3, 0.3, 0.3), points(0, 0.1, 0.4), 2)
    expect(f(0.3)).toBeCloseTo(0.1, 12)
    expect(f(0.4)).toBeCloseTo(0.2, 12)
  })

  it('gives back what was applied: measured points are the points asked for', () => {
    const image = emptyImage({ x: 0, y: 0, width: 128, height: 128 })
    for (let p = 0; p < 128 * 128; p++) {
      const cell = Math.floor((p % 128) / 4) + 32 * Math.floor(p / 512)
      for (let c = 0; c < 3; c++) image.data[4 * p + c] = 0.8 * (0.05 + 0.6 * uniform(1, 0, cell, 0, c) ** 2)
      image.data[4 * p + 3] = 0.8
    }
    const from = pointsOf([coveredCells(image, 0.5)])
    const to = {
      black: [0.02, 0.03, 0.05] as Rgb,
      middle: [0.1, 0.11, 0.12] as Rgb,
      white: [0.4, 0.38, 0.3] as Rgb,
    }
    if (from === undefined) throw new Error('nothing measured')
    applyMatch(image, matchTables(from, to))
    const after = pointsOf([coveredCells(image, 0.5)])
    for (const which of ['black', 'middle', 'white'] as const) {
      for (const c of [0, 1, 2] as const) expect(after?.[which][c]).toBeCloseTo(to[which][c], 3)
    }
  })
})

describe('cells', () => {
  it('even and odd halves share no pixel and make up the whole', () => {
    const image = emptyImage({ x: 0, y: 0, width: 64, height: 64 })
    for (let p = 0; p < 64 * 64; p++) image.data[4 * p] = p
    const region = { x: 0, y: 0, width: 64, height: 64 }
    const even = plateCells(image, region, 'even')[0]
    const odd = plateCells(image, region, 'odd')[0]
    expect(even.filter((v) => odd.includes(v))).toEqual([])
    expect(even.length + odd.length).toBe(256)
  })

  it('says nothing of a place that is too small', () => {
    const image = emptyImage({ x: 0, y: 0, width: 64, height: 64 })
    expect(pointsOf([plateCells(image, { x: 0, y: 0, width: 16, height: 16 }, 'even')])).toBeUndefined()
  })
})
