/** Painted edges of known softness in luma and in chroma: Φ in each, by the trapezium rule. */
import { describe, expect, it } from 'vitest'
import { told } from '../../../core/index.js'
import type { Window } from '../../../kernels/index.js'
import { measureSoftChroma } from './measure.js'

const WIDTH = 320
const HEIGHT = 240
const CELL = 40

const SHARE = (() => {
  const table: number[] = []
  let sum = 0
  for (let t = -8; t <= 8; t += 0.01) {
    table.push(sum)
    sum += (Math.exp((-t * t) / 2) * 0.01) / Math.sqrt(2 * Math.PI)
  }
  return (x: number) => table[Math.round((Math.min(Math.max(x, -8), 8) + 8) * 100)] ?? 1
})()

/** Bands that lean by one in five, 20 px apart, from one level to another. */
function bands(low: number, high: number, sigma: number, noise: (p: number) => number): Window {
  const values = Float64Array.from({ length: WIDTH * HEIGHT }, (_, p) => {
    const [x, y] = [p % WIDTH, Math.floor(p / WIDTH)]
    const along = (x + 0.2 * y) / Math.hypot(1, 0.2)
    const at = along - CELL * Math.floor(along / CELL)
    const share = SHARE((at - CELL / 4) / sigma) - SHARE((at - (3 * CELL) / 4) / sigma)
    return low + (high - low) * share + noise(p)
  })
  return { width: WIDTH, height: HEIGHT, values }
}

/** Of a uniform hash (from memory, public domain), standard deviation about 0.7 codes of eight bits. */
const noise = (seed: number) => (p: number) => {
  const h = Math.imul((p + 1) ^ Math.imul(seed, 0x9e3779b1), 0x85ebca6b)
  const g = Math.imul(h ^ (h >>> 13), 0xc2b2ae35)
  return ((((g ^ (g >>> 16)) >>> 0) / 2 ** 32 - 0.5) * Math.sqrt(12) * 0.7) / 255
}

const read = (own: number, chroma: number, step = 0.12) =>
  measureSoftChroma(
    [
      {
        frame: 2,
        luma: bands(0.3, 0.6, own, noise(1)),
        cb: bands(0, step, chroma, noise(2)),
        cr: bands(0, -step / 4, chroma, noise(3)),
      },
    ],
    undefined,
  )

describe('chroma softer than luma', () => {
  it.each([
    [0.8, 1.5],
    [1, 2.2],
    [0.7, 3],
  ])('of luma σ = %f and chroma σ = %f', (own, chroma) => {
    const found = read(own, chroma)
    if (!told(found)) throw new Error(found.cannotTell)
    // Variances of Gaussians add.
    expect(Math.abs(found.value.blur / Math.sqrt(chroma ** 2 - own ** 2) - 1)).toBeLessThan(0.08)
  })

  it('is none where both are alike', () => {
    const found = read(1, 1)
    expect(told(found) && found.value.blur).toBeLessThan(0.3)
  })

  it('cannot be told without colour', () => {
    expect(read(1, 2, 0)).toEqual({ cannotTell: 'only 0 edges step in luma and in colour alike' })
  })
})
