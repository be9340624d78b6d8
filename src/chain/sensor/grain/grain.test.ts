import { describe, expect, it } from 'vitest'
import { emptyImage, type FloatImage, hash, told } from '../../../core/index.js'
import { duringScratch } from '../../../kernels/index.js'
import { grainOf, plateVariance, topUp } from './apply.js'
import { measureGrain } from './measure.js'
import { grainModel, varianceAt } from './model.js'

const SIZE = 256

/** Box–Muller on the counter hash; written here, so that the noise owes nothing to the kernel under test. */
function normal(frame: number, x: number, y: number, c: number): number {
  const u = (hash(99, frame, x, y, 2 * c) + 1) / 4294967297
  const v = hash(99, frame, x, y, 2 * c + 1) / 4294967296
  return Math.sqrt(-2 * Math.log(u)) * Math.cos(2 * Math.PI * v)
}

/** A slope from dark to bright with σ² = a · level + b, as a sensor makes it [foi2008]. */
function noisy(frame: number, a: number, b: number): FloatImage {
  const image = emptyImage({ x: 0, y: 0, width: SIZE, height: SIZE })
  for (let y = 0; y < SIZE; y++) {
    for (let x = 0; x < SIZE; x++) {
      const level = 0.02 + (0.8 * x) / SIZE
      for (let c = 0; c < 3; c++)
        image.data[4 * (y * SIZE + x) + c] = level + Math.sqrt(a * level + b) * normal(frame, x, y, c)
      image.data[4 * (y * SIZE + x) + 3] = 1
    }
  }
  return image
}

describe('grain meter', () => {
  it('finds a Poisson–Gaussian law within 15 %', () => {
    const a = 4e-4
    const b = 2e-5
    const found = measureGrain([{ frame: 0, image: noisy(0, a, b), after: noisy(1, a, b) }], 1)
    if (!told(found)) throw new Error(found.cannotTell)
    const { levels, variance, lags, mix } = found.value
    levels.forEach((level, i) => {
      const truth = a * level + b
      expect(Math.abs((variance[1][i] as number) / truth - 1)).toBeLessThan(0.3)
    })
    const mean = levels.reduce((s, l, i) => s + (variance[1][i] as number) / (a * l + b), 0) / levels.length
    expect(Math.abs(mean - 1)).toBeLessThan(0.15)
    for (const v of lags.flat()) expect(Math.abs(v)).toBeLessThan(0.06)
    for (const v of mix) expect(Math.abs(v)).toBeLessThan(0.06)
  })

  it('does not take texture that stands still for grain', () => {
    const a = noisy(0, 1e-4, 1e-5)
    const b = noisy(1, 1e-4, 1e-5)
    for (const image of [a, b]) {
      for (let p = 0; p < SIZE * SIZE; p++) {
        const weave = 0.03 * Math.sin(p * 0.9) * Math.sin(Math.floor(p / SIZE) * 0.7)
        for (let c = 0; c < 3; c++) image.data[4 * p + c] = (image.data[4 * p + c] as number) + weave
      }
    }
    const found = measureGrain([{ frame: 0, image: a, after: b }], 1)
    if (!told(found)) throw new Error(found.cannotTell)
    const i = Math.floor(found.value.levels.length / 2)
    const truth = 1e-4 * (found.value.levels[i] as number) + 1e-5
    // The texture's own variance is 2.2e-4: a spatial meter alone would say four times the truth.
    expect(found.value.variance[1][i] as number).toBeLessThan(2.5 * truth)
  })

  it('cannot tell from a picture that is clipped all over', () => {
    const image = emptyImage({ x: 0, y: 0, width: 64, height: 64 })
    image.data.fill(1)
    expect(told(measureGrain([{ frame: 0, image, after: undefined }], 1))).toBe(false)
  })
})

describe('top-up', () => {
  const fine = { correlation: Array(12).fill(0), mix: [0, 0, 0], cross: [] }
  const levels = { levels: [0.1, 0.5], variance: [1e-4, 4e-4, 1e-4, 4e-4, 1e-4, 4e-4] }
  const model = grainModel({ ...levels, ...fine, coarse: [], coarseSize: [], coarseMix: [] })
  if (model === undefined) throw new Error('no model')

  it('follows the levels in straight lines and stays flat outside them', () => {
    expect(varianceAt(model, 0, 0.3)).toBeCloseTo(2.5e-4, 9)
    expect(varianceAt(model, 1, 0)).toBe(1e-4)
    expect(varianceAt(model, 2, 9)).toBe(4e-4)
  })

  it('adds what is missing and no more', () => {
    const region = { x: 0, y: 0, width: SIZE, height: SIZE }
    const flat = (): FloatImage => ({ region, data: new Float32Array(4 * SIZE * SIZE).fill(0.3) })
    const plate = flat()
    const full = plateVariance(model, plate)
    const touched = new Uint8Array(SIZE * SIZE).fill(1)
    duringScratch(() => topUp(plate, full, touched, model, grainOf(model, 3, region), 0))
    expect(plate.data.every((v) => v === Math.fround(0.3))).toBe(true)
    const covered = flat()
    const left = full.map((v) => v / 4)
    duringScratch(() => topUp(covered, left, touched, model, grainOf(model, 3, region), 0))
    let sum = 0
    for (let i = 0; i < covered.data.length; i += 4) sum += ((covered.data[i] as number) - 0.3) ** 2
    // Three quarters of 2.5e-4 are missing.
    expect(sum / (SIZE * SIZE)).toBeCloseTo(1.875e-4, 5)
  })
})
