import { describe, expect, it } from 'vitest'
import type { FloatImage, Rgb } from '../../../core/index.js'
import { applyHaze, extinction, transmittance, unhaze } from './model.js'

const pixel = (...v: number[]): FloatImage => ({
  region: { x: 0, y: 0, width: 1, height: 1 },
  data: Float32Array.from(v),
})

describe('Koschmieder', () => {
  // V = 3.91202/β at the 2 % threshold (AMS Glossary); figures by hand from it.
  it('gives the published transmittances', () => {
    expect(extinction(20_000) * 1000).toBeCloseTo(0.195601, 6)
    expect(transmittance(20_000, 1000)).toBeCloseTo(0.82234, 6)
    expect(transmittance(20_000, 5000)).toBeCloseTo(0.376062, 5)
    expect(transmittance(10_000, 1000)).toBeCloseTo(0.676243, 6)
    expect(transmittance(20_000, 20_000)).toBeCloseTo(0.02, 12)
  })

  // Image formation I = J t + A (1 − t), He, Sun & Tang 2009: J (.3 .1 .05), A (.8 .82 .85), t .6 → (.5 .388 .37).
  it('forms the picture of the worked example and takes it apart again', () => {
    const image = pixel(0.3, 0.1, 0.05, 1)
    const t: Rgb = [0.6, 0.6, 0.6]
    const air: Rgb = [0.8, 0.82, 0.85]
    applyHaze(image, t, air)
    expect(image.data[0]).toBeCloseTo(0.5, 6)
    expect(image.data[1]).toBeCloseTo(0.388, 6)
    expect(image.data[2]).toBeCloseTo(0.37, 6)
    const back = unhaze([0.5, 0.388, 0.37], t, air)
    expect(back[0]).toBeCloseTo(0.3, 9)
    expect(back[2]).toBeCloseTo(0.05, 9)
  })

  it('dims light that covers nothing and adds none of its own', () => {
    const image = pixel(2, 1, 0, 0)
    applyHaze(image, [0.5, 0.5, 0.5], [9, 9, 9])
    expect([...image.data]).toEqual([1, 0.5, 0, 0])
  })
})
