import { expect, it } from 'vitest'
import { lagChance } from './lagChance.js'
import { meanOff } from './meanOff.js'

// Source: [bartlett1946] for white noise: each axis alone 1/√n, their mean 1/√(2n).
it('white noise has the chance of so many numbers', () => {
  expect(lagChance([0, 0, 0, 0], 20_000)).toBeCloseTo(0.005, 12)
})

// By its first formula, of lag k: 1/n Σ (ρ_{m+k}² + ρ_{m−k} ρ_{m+k} − 4 ρ_k ρ_m ρ_{m−k} + 2 ρ_k² ρ_m²), of both axes and of the two together.
it('grain through [w 1 w] has what the sum over all its neighbours says', () => {
  const w = 0.3
  const line = [1, (2 * w) / (1 + 2 * w * w), (w * w) / (1 + 2 * w * w)]
  const at = (i: number, j: number) => (line[Math.abs(i)] ?? 0) * (line[Math.abs(j)] ?? 0)
  const r = line[1]!
  const cov = (kx: number, ky: number, lx: number, ly: number) => {
    let sum = 0
    for (let i = -4; i <= 4; i++)
      for (let j = -4; j <= 4; j++)
        sum +=
          at(i, j) * at(i + kx - lx, j + ky - ly) +
          at(i + kx, j + ky) * at(i - lx, j - ly) -
          2 * r * at(i, j) * (at(i + lx, j + ly) + at(i + kx, j + ky)) +
          2 * r * r * at(i, j) ** 2
    return sum
  }
  const both = (cov(1, 0, 1, 0) + cov(0, 1, 0, 1) + 2 * cov(1, 0, 0, 1)) / 4
  expect(lagChance([r, line[2]!, r, line[2]!], 10_000)).toBeCloseTo(Math.sqrt(both / 10_000), 12)
})

// The oracle sums over every pair of the block's pixels.
it('a block less its mean keeps what its pixels say', () => {
  const side = 8
  const lines = [
    [1, 0.5, 0.1],
    [1, 0.3, 0],
  ] as const
  const at = (dx: number, dy: number) => (lines[0][Math.abs(dx)] ?? 0) * (lines[1][Math.abs(dy)] ?? 0)
  const pixels = Array.from({ length: side * side }, (_, i) => [i % side, Math.floor(i / side)] as const)
  const withMean = pixels.map(
    ([x, y]) => pixels.reduce((sum, [u, v]) => sum + at(x - u, y - v), 0) / pixels.length,
  )
  const mean = withMean.reduce((a, b) => a + b, 0) / pixels.length
  const { lost, less } = meanOff([0.5, 0.1, 0.3, 0], side)
  expect(lost).toBeCloseTo(mean, 12)
  for (const [k, [dx, dy]] of [
    [1, 0] as const,
    [2, 0] as const,
    [0, 1] as const,
    [0, 2] as const,
  ].entries()) {
    const firsts = [...pixels.keys()].filter((i) => pixels[i]![0] + dx < side && pixels[i]![1] + dy < side)
    const both = firsts.map((i) => withMean[i]! + withMean[i + dy * side + dx]!)
    expect(less[k]).toBeCloseTo(both.reduce((a, b) => a + b, 0) / both.length - mean, 12)
  }
})
