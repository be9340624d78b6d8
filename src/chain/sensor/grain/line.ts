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
  /** σ² at a level, and its spread: that of least squares, larger where the fit misses by more than the spreads. */
  readonly at: (level: number) => number
  readonly spreadAt: (level: number) => number
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
  const det = s * sxx - sx * sx
  const spreadAt = (l: number) =>
    det > 0
      ? Math.sqrt((Math.max(misfit, 1) * Math.max(sxx - 2 * l * sx + l * l * s, 0)) / det)
      : Number.POSITIVE_INFINITY
  return { slope, floor, misfit, at: (l) => slope * l + floor, spreadAt }
}
