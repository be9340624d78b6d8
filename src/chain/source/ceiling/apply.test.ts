import { describe, expect, it } from 'vitest'
import type { FloatImage, Rgb } from '../../../core/index.js'
import { rebuildCores } from './apply.js'

/**
 * Black bodies in BT.709 at luminance 1. 1900 K: 1 : .2326 : 0 (colour-science, CIE 1931) over .2126 + .7152 · .2326.
 * CIE A, xy .44757 .40745, through the matrix of IEC 61966-2-1.
 */
const K1900: Rgb = [2.63883, 0.61379, 0]
const CIE_A: Rgb = [1.845, 0.82609, 0.23328]

const pixel = (...v: number[]): FloatImage => ({
  region: { x: 0, y: 0, width: 1, height: 1 },
  data: Float32Array.from(v),
})
const clipped = (light: number, planck: Rgb) => pixel(...planck.map((p) => Math.min(light * p, 1)), 0)
const luminance = (i: FloatImage) =>
  0.2126 * (i.data[0] as number) + 0.7152 * (i.data[1] as number) + 0.0722 * (i.data[2] as number)

describe('clipped cores', () => {
  it.each([
    ['1900 K', K1900],
    ['CIE A', CIE_A],
  ])('of %s get their light back as long as green is whole', (_, planck) => {
    for (let light = 0.01; light * planck[1] < 0.9; light += 0.01) {
      const p = clipped(light, planck)
      rebuildCores(p, 1, planck)
      for (const c of [0, 1, 2] as const) expect(p.data[c]).toBeCloseTo(light * planck[c], 5)
    }
  })

  it('of CIE A get it back from blue where green is clipped too', () => {
    const p = clipped(3, CIE_A)
    rebuildCores(p, 1, CIE_A)
    expect(luminance(p)).toBeCloseTo(3, 2)
  })

  it('change nothing below 0.9 of the ceiling, whatever their colour', () => {
    const p = pixel(0.89, 0.1, 0.8, 0.5)
    const before = [...p.data]
    rebuildCores(p, 1, K1900)
    expect([...p.data]).toEqual(before)
    const above = pixel(1.7, 0.2, 0.1, 0)
    rebuildCores(above, 2, K1900)
    expect([...above.data]).toEqual([1.7, 0.2, 0.1, 0].map(Math.fround))
  })

  // More light in front of the lens is never less light in the result: no dark hole in the hottest part.
  it.each([
    ['1900 K', K1900],
    ['CIE A', CIE_A],
    ['a white as of 6500 K', [1, 1, 1] as Rgb],
  ])('of %s are monotone', (_, planck) => {
    let last = [0, 0, 0]
    for (let light = 0; light < 12; light += 0.005) {
      const p = clipped(light, planck)
      rebuildCores(p, 1, planck)
      for (const c of [0, 1, 2] as const) expect(p.data[c]).toBeGreaterThanOrEqual((last[c] as number) - 1e-6)
      last = [...p.data]
    }
  })

  it('never lose light', () => {
    const p = pixel(1, 1, 1, 0)
    rebuildCores(p, 1, K1900)
    expect(p.data[0]).toBeGreaterThan(1)
    expect(p.data[1]).toBeCloseTo(1, 5)
    expect(p.data[2]).toBe(1)
  })
})
