/** Value at fraction `q` (0 to 1) of the sorted sample, linear between neighbours (Hyndman & Fan 1996, type 7). */
export function quantile(sorted: ArrayLike<number>, q: number): number {
  const n = sorted.length
  if (n === 0) return Number.NaN
  const at = Math.min(Math.max(q, 0), 1) * (n - 1)
  const i = Math.floor(at)
  const low = sorted[i] as number
  const high = sorted[Math.min(i + 1, n - 1)] as number
  return low + (high - low) * (at - i)
}

/** Ascending copy without NaN. */
export function sorted(values: Iterable<number>): Float64Array {
  return Float64Array.from(values)
    .filter((v) => !Number.isNaN(v))
    .sort()
}

export function median(values: Iterable<number>): number {
  return quantile(sorted(values), 0.5)
}

/** Standard deviation from the median absolute deviation, for normal data (factor 1.4826 = 1 / Φ⁻¹(3/4)). */
export function robustSigma(values: readonly number[]): number {
  const m = median(values)
  return 1.482602 * median(values.map((v) => Math.abs(v - m)))
}

/** Φ: share of a normal distribution below x; error below 1e-7 [abramowitz1964 7.1.26]. */
export function normalShare(x: number): number {
  const z = Math.abs(x) / Math.SQRT2
  const t = 1 / (1 + 0.3275911 * z)
  const p = ((((1.061405429 * t - 1.453152027) * t + 1.421413741) * t - 0.284496736) * t + 0.254829592) * t
  const tail = 0.5 * p * Math.exp(-z * z)
  return x < 0 ? tail : 1 - tail
}
