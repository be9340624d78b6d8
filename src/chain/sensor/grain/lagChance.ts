/**
 * How far chance carries the lag-1 correlation, mean of both axes, that is taken from n pixels of noise.
 *
 *   s² = 2/n · mean over ω of S(ω)² (g(ω) − r)²      S = Π (1 + 2ρ₁ cos ω + 2ρ₂ cos 2ω) over both axes
 *   g = (cos ω_x + cos ω_y) / 2                       r = mean of g S = the correlation
 *
 * Source: [bartlett1946], written over frequencies; normal noise, whose correlation ends after two pixels.
 * @example white noise, 20,000 pixels: 0.005
 */
import type { Four } from './meanOff.js'

/** Exact for products of so few cosines. */
const STEPS = 16
const COSINES = Array.from({ length: STEPS }, (_, i) => Math.cos((2 * Math.PI * i) / STEPS))

export function lagChance([x1, x2, y1, y2]: Readonly<Four>, n: number): number {
  const spectrum = (one: number, two: number) =>
    COSINES.map((c) => 1 + 2 * one * c + 2 * two * (2 * c * c - 1))
  const [across, down] = [spectrum(x1, x2), spectrum(y1, y2)]
  const r = (x1 + y1) / 2
  let sum = 0
  for (let i = 0; i < STEPS; i++)
    for (let j = 0; j < STEPS; j++) {
      const s = (across[i] as number) * (down[j] as number)
      const g = ((COSINES[i] as number) + (COSINES[j] as number)) / 2
      sum += s * s * (g - r) * (g - r)
    }
  return Math.sqrt((2 * sum) / STEPS ** 2 / n)
}
