/** The searches in plain TypeScript: what `simd.ts` must equal. */

/** Place of the next value from `from` on that is NaN or infinite; `data.length` where there is none. */
export function nextNotFinite(data: Float32Array, from: number): number {
  let i = from
  while (i < data.length && data[i] - data[i] === 0) i++
  return i
}

/** The next RGBA pixel from `from` on of which a colour is not at `limit` or below; their number where there is none. */
export function nextAbove(data: Float32Array, from: number, limit: number): number {
  const l = Math.fround(limit)
  let p = from
  for (; p < data.length >> 2; p++) {
    if (!(data[4 * p] <= l && data[4 * p + 1] <= l && data[4 * p + 2] <= l)) break
  }
  return p
}
