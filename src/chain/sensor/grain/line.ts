/**
 * A sensor's noise: light's own grows with the level, the rest does not.
 *
 *   σ²(L) = a · L + b      a, b ≥ 0
 *
 *   a  slope: one electron's worth of signal, diffuse white     b  floor: readout and dark noise, diffuse white²
 *
 * Least squares over the measured levels, each weighing 1/spread². Holds for a camera that neither denoises nor bends its curve;
 * where it does not hold the fit misses by far more than the spreads. Used where nothing was measured: at levels whose noise the
 * code's ends cut off, and of a channel that never gets there. Source: [foi2008], [emva1288].
 */
export interface NoiseLine {
  readonly slope: number
  readonly floor: number
  /** Mean square miss in units of the spreads: about 1 where the law holds. */
  readonly misfit: number
  /** Weights' sums of 1, L and L², and the largest of 1 and the misfit: what the spread at a level is made of. */
  readonly sums: readonly [number, number, number, number]
}

export function noiseLine(
  levels: readonly number[],
  variance: readonly number[],
  spread: readonly number[],
): NoiseLine | undefined {
  if (levels.length < 2) return undefined
  const weight = spread.map((s) => 1 / (s * s))
  const sum = (of: (i: number) => number) => levels.reduce((t, _, i) => t + (weight[i] as number) * of(i), 0)
  const x = (i: number) => levels[i] as number
  const y = (i: number) => variance[i] as number
  const [s, sx, sy, sxx, sxy] = [sum(() => 1), sum(x), sum(y), sum((i) => x(i) ** 2), sum((i) => x(i) * y(i))]
  const free = (s * sxy - sx * sy) / (s * sxx - sx * sx)
  const slope = Math.max(0, (sy - free * sx) / s < 0 ? sxy / sxx : free)
  const floor = Math.max(0, (sy - slope * sx) / s)
  const misfit = sum((i) => (y(i) - slope * x(i) - floor) ** 2) / Math.max(levels.length - 2, 1)
  return { slope, floor, misfit, sums: [s, sx, sxx, Math.max(misfit, 1)] }
}

/** σ² of the line at a level. */
export function lineAt({ slope, floor }: NoiseLine, level: number): number {
  return slope * level + floor
}

/** Its spread: that of least squares, larger where the fit misses by more than the spreads. */
export function lineSpreadAt({ sums: [s, sx, sxx, misfit] }: NoiseLine, l: number): number {
  const det = s * sxx - sx * sx
  return det > 0
    ? Math.sqrt((misfit * Math.max(sxx - 2 * l * sx + l * l * s, 0)) / det)
    : Number.POSITIVE_INFINITY
}
