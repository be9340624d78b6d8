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
