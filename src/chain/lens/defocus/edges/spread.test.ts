import { describe, expect, it } from 'vitest'
import { edgeSpread } from './spread.js'

const NONE = 1e-3

/** Distance at which a rising function reaches a value, by halving. */
function reached(at: (s: number) => number, value: number): number {
  let [low, high] = [-12, 12]
  for (let i = 0; i < 60; i++) {
    const middle = (low + high) / 2
    if (at(middle) < value) low = middle
    else high = middle
  }
  return low
}

/** What is left of a frequency: the edge's slope, summed with a cosine. */
function transfer(at: (s: number) => number, f: number): number {
  let sum = 0
  for (let s = -12; s < 12; s += 0.01) sum += (at(s + 0.01) - at(s)) * Math.cos(2 * Math.PI * f * (s + 0.005))
  return sum
}

describe('edge spread', () => {
  // Normal quantiles: 2 · 1.281552 σ.
  it.each([1, 1.7, 2.6])('of a Gaussian rises from a tenth to nine within 2.5631 σ, σ = %f', (sigma) => {
    const { at } = edgeSpread('gaussian', sigma, NONE, 13)
    expect(Math.abs((reached(at, 0.9) - reached(at, 0.1)) / (2.5631 * sigma) - 1)).toBeLessThan(2e-3)
  })

  // e^(−2π²σ²f²) = ½ at f = 0.187391 / σ.
  it.each([1, 1.7, 2.6])('of a Gaussian keeps half of 0.187391 / σ cycles a pixel, σ = %f', (sigma) => {
    expect(transfer(edgeSpread('gaussian', sigma, NONE, 13).at, 0.187391 / sigma)).toBeCloseTo(0.5, 3)
  })

  // Share of a circle's area on one side of a chord, by plane geometry: 1 − (φ − sin φ cos φ) / π, cos φ = s / r.
  it.each([3, 4.5])('of a disc is the share of a circle behind a chord, r = %f', (radius) => {
    const { at } = edgeSpread('disc', radius, 0.2, 13)
    for (const part of [-0.9, -0.5, 0, 0.3, 0.8]) {
      const angle = Math.acos(part)
      const share = 1 - (angle - Math.sin(angle) * Math.cos(angle)) / Math.PI
      expect(Math.abs(at(part * radius) - share)).toBeLessThan(4e-3)
    }
  })

  // J₁(2πrf) = 0 first at 2rf = 1.219670 [goodman2005].
  it('of a disc keeps nothing of its first ring', () => {
    expect(Math.abs(transfer(edgeSpread('disc', 3, 0.2, 13).at, 1.21967 / 6))).toBeLessThan(2e-3)
  })
})
