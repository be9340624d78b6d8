import { describe, expect, it } from 'vitest'
import type { Region, Rgb } from '../../core/index.js'
import { coarseField, grainField } from './apply.js'
import { type GrainTaps, mixFactor } from './factor.js'
import { normalOf, normalQuantiles } from './normal.js'
import { tapsFor } from './taps.js'

const frame: Region = { x: 0, y: 0, width: 400, height: 300 }
const white: GrainTaps = { x: [1], y: [1] }

function moment(field: Float32Array, a: number, b: number, dx = 0, dy = 0): number {
  let sum = 0
  let n = 0
  for (let y = 0; y + dy < frame.height; y++) {
    for (let x = 0; x + dx < frame.width; x++, n++) {
      sum += field[4 * (y * frame.width + x) + a] * field[4 * ((y + dy) * frame.width + x + dx) + b]
    }
  }
  return sum / n
}

describe('normalOf', () => {
  it('follows the normal table: 68.27, 95.45 and 99.73 % within 1, 2 and 3 (Abramowitz & Stegun 26.2)', () => {
    const n = 1 << 18
    const counts = [0, 0, 0]
    let square = 0
    let fourth = 0
    for (let i = 0; i < n; i++) {
      const v = normalOf((i * (2 ** 32 / n) + 8192) >>> 0)
      square += v * v
      fourth += v ** 4
      for (let k = 0; k < 3; k++) if (Math.abs(v) < k + 1) counts[k]++
    }
    expect(counts[0] / n).toBeCloseTo(0.6827, 3)
    expect(counts[1] / n).toBeCloseTo(0.9545, 3)
    expect(counts[2] / n).toBeCloseTo(0.9973, 3)
    expect(square / n).toBeCloseTo(1, 4)
    expect(fourth / n).toBeCloseTo(3, 1)
    // Φ⁻¹(3/4) = 0.6745.
    expect(normalQuantiles[3072]).toBeCloseTo(0.6745, 3)
  })
})

describe('grainField', () => {
  const taps: readonly [GrainTaps, GrainTaps, GrainTaps] = [
    white,
    { x: [1, 2, 1], y: [1] },
    { x: tapsFor(0.5, 0.2), y: tapsFor(0.3, 0) },
  ]

  it('has zero mean, unit variance and the correlations of its taps', () => {
    const field = grainField({ seed: 5, frame: 17, taps, mixing: mixFactor([0, 0, 0]) }, frame)
    for (let c = 0; c < 3; c++) {
      let mean = 0
      for (let i = c; i < field.length; i += 4) mean += field[i] / (frame.width * frame.height)
      expect(Math.abs(mean)).toBeLessThan(0.02)
      expect(Math.abs(moment(field, c, c) - 1)).toBeLessThan(0.03)
    }
    expect(Math.abs(moment(field, 0, 0, 1, 0))).toBeLessThan(0.015)
    // [1 2 1]: lag 1 = 4/6, lag 2 = 1/6, by hand.
    expect(moment(field, 1, 1, 1, 0)).toBeCloseTo(2 / 3, 1)
    expect(Math.abs(moment(field, 1, 1, 1, 0) - 2 / 3)).toBeLessThan(0.03)
    expect(Math.abs(moment(field, 1, 1, 2, 0) - 1 / 6)).toBeLessThan(0.03)
    expect(Math.abs(moment(field, 1, 1, 0, 1))).toBeLessThan(0.02)
    expect(Math.abs(moment(field, 2, 2, 1, 0) - 0.5)).toBeLessThan(0.03)
    expect(Math.abs(moment(field, 2, 2, 2, 0) - 0.2)).toBeLessThan(0.03)
    expect(Math.abs(moment(field, 2, 2, 0, 1) - 0.3)).toBeLessThan(0.03)
  })

  it('mixes the channels as asked and survives what cannot be', () => {
    const mix: Rgb = [0.6, 0.2, -0.3]
    const field = grainField(
      { seed: 5, frame: 17, taps: [white, white, white], mixing: mixFactor(mix) },
      frame,
    )
    expect(Math.abs(moment(field, 0, 1) - 0.6)).toBeLessThan(0.02)
    expect(Math.abs(moment(field, 0, 2) - 0.2)).toBeLessThan(0.02)
    expect(Math.abs(moment(field, 1, 2) + 0.3)).toBeLessThan(0.02)
    for (const impossible of [
      [1, 1, -1],
      [1, 0, 1],
      [0.9, 0.9, -0.9],
    ] as const) {
      const held = grainField(
        { seed: 5, frame: 17, taps: [white, white, white], mixing: mixFactor(impossible) },
        frame,
      )
      for (let c = 0; c < 3; c++) expect(Math.abs(moment(held, c, c) - 1)).toBeLessThan(0.03)
    }
  })

  it('is the same by region as in the whole, new in every frame and by every seed', () => {
    const whole = grainField({ seed: 5, frame: 17, taps, mixing: mixFactor([0.5, 0.4, 0.3]) }, frame)
    const part: Region = { x: 33, y: 21, width: 11, height: 1 }
    const field = grainField({ seed: 5, frame: 17, taps, mixing: mixFactor([0.5, 0.4, 0.3]) }, part)
    const at = 4 * (21 * frame.width + 33)
    expect(field).toEqual(whole.subarray(at, at + 44))
    expect(grainField({ seed: 5, frame: 17, taps, mixing: mixFactor([0.5, 0.4, 0.3]) }, part)).toEqual(field)
    for (const other of [
      grainField({ seed: 5, frame: 18, taps, mixing: mixFactor([0, 0, 0]) }, frame),
      grainField({ seed: 6, frame: 17, taps, mixing: mixFactor([0, 0, 0]) }, frame),
    ]) {
      let sum = 0
      for (let i = 0; i < other.length; i += 4) sum += other[i] * whole[i]
      expect(Math.abs(sum / (frame.width * frame.height))).toBeLessThan(0.015)
    }
    expect(
      grainField(
        { seed: 5, frame: 17, taps, mixing: mixFactor([0, 0, 0]) },
        { x: -5, y: -7, width: 2, height: 2 },
      ),
    ).toHaveLength(16)
  })
})

describe('coarseField', () => {
  const wide: Region = { x: 0, y: 0, width: 960, height: 720 }
  const only = { size: 6, mixing: mixFactor([0, 0, 0]) }

  it('has zero mean, unit variance at every phase of its grid, and falls to about a half at its size', () => {
    const field = coarseField({ seed: 5, frame: 17 }, only, wide)
    const at = (x: number, y: number, c: number) => field[4 * (y * wide.width + x) + c]
    const mean = (of: (x: number, y: number) => number, phase = -1) => {
      let [sum, n] = [0, 0]
      for (let y = 0; y < wide.height - 12; y++) {
        for (let x = 0; x < wide.width - 12; x++) {
          if (phase >= 0 && (x % 6 !== phase || y % 6 !== phase)) continue
          sum += of(x, y)
          n++
        }
      }
      return sum / n
    }
    for (const c of [0, 1, 2]) expect(Math.abs(mean((x, y) => at(x, y, c)))).toBeLessThan(0.04)
    for (let phase = 0; phase < 6; phase++)
      expect(Math.abs(mean((x, y) => at(x, y, 1) ** 2, phase) - 1)).toBeLessThan(0.06)
    // Two cubic splines of variance D²/3 each: as a normal one exp(−¾ m²/D²), 0.472 at D and 0.050 at 2 D, by hand.
    expect(Math.abs(mean((x, y) => at(x, y, 1) * at(x + 6, y, 1)) - 0.472)).toBeLessThan(0.03)
    expect(Math.abs(mean((x, y) => at(x, y, 1) * at(x, y + 6, 1)) - 0.472)).toBeLessThan(0.03)
    expect(Math.abs(mean((x, y) => at(x, y, 1) * at(x + 12, y, 1)) - 0.05)).toBeLessThan(0.03)
    expect(Math.abs(mean((x, y) => at(x, y, 0) * at(x, y, 2)))).toBeLessThan(0.04)
  })

  it('is the same by region as in the whole, whatever row is asked first, and new in every frame', () => {
    const coarse = { size: 7, mixing: mixFactor([-0.5, 0.2, 0.1]) }
    const whole = coarseField({ seed: 5, frame: 17 }, coarse, { x: -9, y: -5, width: 90, height: 70 })
    for (const part of [
      { x: 33, y: 21, width: 11, height: 9 },
      { x: -4, y: -5, width: 3, height: 1 },
    ]) {
      const field = coarseField({ seed: 5, frame: 17 }, coarse, part)
      for (let y = 0; y < part.height; y++) {
        const at = 4 * ((part.y + y + 5) * 90 + part.x + 9)
        const line = 4 * part.width
        expect(field.subarray(line * y, line * (y + 1))).toEqual(whole.subarray(at, at + line))
      }
    }
    const next = coarseField({ seed: 5, frame: 18 }, only, wide)
    const own = coarseField({ seed: 5, frame: 17 }, only, wide)
    let sum = 0
    for (let i = 0; i < own.length; i += 4) sum += own[i] * next[i]
    expect(Math.abs(sum / (wide.width * wide.height))).toBeLessThan(0.05)
  })
})

describe('tapsFor', () => {
  it('meets the correlations that noise can have', () => {
    for (const [lag1, lag2] of [
      [0, 0],
      [0.5, 0],
      [0.66, 0.16],
      [0.8, 0.5],
      [-0.2, 0.05],
      [0.3, 0.1],
      [0.05, -0.05],
    ] as const) {
      const taps = tapsFor(lag1, lag2)
      expect(taps.length % 2).toBe(1)
      expect(taps.length).toBeLessThanOrEqual(7)
      expect(taps).toEqual(taps.toReversed())
      const lag = (k: number) => taps.slice(k).reduce((s, v, i) => s + v * taps[i], 0)
      expect(Math.abs(lag(1) / lag(0) - lag1)).toBeLessThan(0.01)
      expect(Math.abs(lag(2) / lag(0) - lag2)).toBeLessThan(0.01)
    }
    expect(tapsFor(0, 0)).toEqual([1])
    for (const v of tapsFor(0.95, 0)) expect(Number.isFinite(v)).toBe(true)
  })
})
