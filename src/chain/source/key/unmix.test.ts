import { inverse as inverseOf, Matrix } from 'ml-matrix'
import { describe, expect, it } from 'vitest'
import { type Rgb, uniform } from '../../../core/index.js'
import { takeSpill } from './spill.js'
import { inverse, type Symmetric } from './symmetric.js'
import { unmix } from './unmix.js'

const full = ([a, d, f, b, c, e]: Symmetric) =>
  new Matrix([
    [a, b, c],
    [b, d, e],
    [c, e, f],
  ])
const six = (m: Matrix): number[] =>
  [
    [0, 0],
    [1, 1],
    [2, 2],
    [0, 1],
    [0, 2],
    [1, 2],
  ].map(([i, j]) => m.get(i as number, j as number))

describe('symmetric matrices', () => {
  // Held against the linear algebra library.
  it('are inverted as the library inverts them', () => {
    for (let k = 0; k < 50; k++) {
      const r = (i: number) => uniform(1, k, i, 0, 0) - 0.5
      const a = new Matrix([
        [r(0), r(1), r(2)],
        [r(3), r(4), r(5)],
        [r(6), r(7), r(8)],
      ])
      const s = six(a.mmul(a.transpose()).add(Matrix.eye(3).mul(0.1))) as unknown as Symmetric
      const mine = inverse(s)
      for (const [i, v] of six(inverseOf(full(s))).entries()) expect(mine[i]).toBeCloseTo(v, 9)
    }
  })
})

describe('a pixel taken apart', () => {
  const screen: Rgb = [0.08, 0.55, 0.12]
  const noise: Rgb = [0.004, 0.004, 0.004]
  const around = {
    screen,
    noise,
    mean: [0.42, 0.27, 0.2] as Rgb,
    covariance: [4e-3, 2e-3, 1e-3, 2e-3, 1e-3, 1e-3] as const,
  }
  const colour: Rgb = [0.45, 0.29, 0.21]
  const mixed = (alpha: number): Rgb =>
    [0, 1, 2].map(
      (c) => alpha * (colour[c] as number) + (1 - alpha) * (screen[c] as number),
    ) as unknown as Rgb

  // C = αF + (1−α)B [porter1984]: skin over green, its neighbours of nearly the same colour.
  it.each([0.1, 0.3, 0.5, 0.7, 0.9])('gives back its share %f', (alpha) => {
    const found = unmix(mixed(alpha), around)
    expect(Math.abs(found.alpha - alpha)).toBeLessThan(0.04)
    if (alpha > 0.25)
      for (const [c, v] of found.colour.entries())
        expect(Math.abs(v - (colour[c] as number))).toBeLessThan(0.05)
  })

  it('is bare screen where a shadow or a highlight lies on it', () => {
    for (const k of [0.8, 0.9, 1, 1.1, 1.2])
      expect(unmix([k * screen[0], k * screen[1], k * screen[2]], around).alpha).toBeLessThan(0.02)
  })

  it('is the element where it has its colour', () => {
    expect(unmix(colour, around).alpha).toBeGreaterThan(0.97)
  })
})

describe('spill', () => {
  const green: Rgb = [0.1, 0.8, 0.2]
  const without = (f: Rgb, screen: Rgb, share = 1) => {
    const out: [number, number, number] = [...f]
    takeSpill(out, screen, share)
    return out
  }

  // Grey under green light: 0.4 + 0.2 · (0.125, 1, 0.25) in each channel; green must end at the mean of red and blue.
  it('is taken off a grey thing: as light, and so much that green is the mean of red and blue', () => {
    const [r, g, b] = without([0.425, 0.6, 0.45], green)
    expect(r).toBeCloseTo(0.4, 9)
    expect(g).toBeCloseTo(0.4, 9)
    expect(b).toBeCloseTo(0.4, 9)
    expect(without([0.425, 0.6, 0.45], green, 0)).toEqual([0.425, 0.6, 0.45])
  })

  it('is not seen on skin, on what is red or blue, nor on grey', () => {
    for (const f of [
      [0.5, 0.33, 0.24],
      [0.6, 0.1, 0.1],
      [0.1, 0.1, 0.5],
      [0.3, 0.3, 0.3],
    ] as const)
      expect(without(f, green)).toEqual([...f])
  })

  it('of a yellow screen takes red along with green', () => {
    const yellow: Rgb = [0.7, 0.75, 0.05]
    const [r, g] = without([0.5 + 0.7 * 0.2, 0.33 + 0.75 * 0.2, 0.24], yellow)
    expect(r).toBeLessThan(0.641)
    expect(g).toBeLessThan(0.82 * r + 1e-6)
  })
})
