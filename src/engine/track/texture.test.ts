/** The spread that is told, against the scatter of many trials; windows and refusals on pictures made for it. */
import { beforeAll, describe, expect, it } from 'vitest'
import { openVision, type Place, type Vision } from '../../vision/index.js'
import type { Luma } from './luma.js'
import { lookAt, newMark } from './mark.js'
import { STILL } from './patch.js'
import { lookFor } from './sheet.js'
import { chooseWindow, noiseOf } from './texture.js'

let vision: Vision
beforeAll(async () => {
  vision = await openVision()
})

const SIDE = 96

function picture(grey: (x: number, y: number) => number, noise = 0, seed = 1): Luma {
  const data = new Uint8Array(SIDE * SIDE)
  let state = seed * 7919 + 1
  const next = () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0
    return state / 4294967296
  }
  for (let i = 0; i < data.length; i++) {
    let normal = -6
    for (let k = 0; k < 12; k++) normal += next()
    const v = grey((i % SIDE) + 0.5, Math.floor(i / SIDE) + 0.5) + noise * normal
    data[i] = Math.max(0, Math.min(255, Math.round(v)))
  }
  return { width: SIDE, height: SIDE, step: 1, data }
}

const waves = (x: number, y: number) =>
  128 +
  18 * Math.sin(0.5 * x + 0.2 * y) +
  18 * Math.sin(0.25 * x - 0.55 * y + 1) +
  9 * Math.sin(0.9 * x + 0.7 * y)

describe('spread', () => {
  it('is the scatter of 200 noisy trials, within a quarter', () => {
    const [dx, dy] = [0.37, -1.62]
    const at: Place = [48, 48]
    const errors: number[] = []
    const told: number[] = []
    for (let trial = 0; trial < 200; trial++) {
      const a = picture(waves, 3, 2 * trial + 1)
      const b = picture((x, y) => waves(x - dx, y - dy), 3, 2 * trial + 2)
      const mark = newMark(at, lookAt(a, 0, at, 21))
      const [sight] = lookFor(vision, b, [{ mark, at: [48.5, 46], turn: STILL }], 3)
      errors.push((sight as { at: Place }).at[0] - 48 - dx, (sight as { at: Place }).at[1] - 48 - dy)
      told.push((sight as { spread: number }).spread)
    }
    const scatter = Math.sqrt(errors.reduce((sum, e) => sum + e * e, 0) / errors.length)
    const mean = told.reduce((sum, s) => sum + s, 0) / told.length
    expect(mean / scatter).toBeGreaterThan(0.75)
    expect(mean / scatter).toBeLessThan(1.4)
  })
})

describe('chooseWindow', () => {
  it('takes the smallest that is sure, and refuses what is flat or an edge, saying so', () => {
    expect(chooseWindow(picture(waves), [48, 48], 0.5)).toMatchObject({ window: 21 })
    expect(
      chooseWindow(
        picture(() => 90, 1),
        [48, 48],
        1,
      ),
    ).toMatchObject({ why: expect.stringMatching(/flat/) })
    const edge = (x: number) => 128 + 60 * Math.tanh((x - 48) / 2)
    expect(chooseWindow(picture(edge, 1), [48, 48], 1)).toMatchObject({ why: expect.stringMatching(/edge/) })
  })
})

it('noise is read off plain places', () => {
  for (const sigma of [1, 3]) {
    const read = noiseOf(picture((x) => 80 + x / 4, sigma))
    expect(read / sigma).toBeGreaterThan(0.8)
    expect(read / sigma).toBeLessThan(1.2)
  }
})
