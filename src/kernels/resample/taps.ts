/** Filter weights of one axis of `resample`. */
export interface AxisTaps {
  /** Weights held for each output pixel. */
  readonly n: number
  /** First source index of each output pixel, and how many follow (0: it sees nothing of the source). */
  readonly first: Int32Array
  readonly count: Int32Array
  readonly weight: Float32Array
  /** Source indices that are used at all: low ≤ i < high. */
  readonly low: number
  readonly high: number
}

/** Reach of the filter to each side, in source pixels. */
export function supportOf(scale: number): number {
  return 2 * Math.max(1, 1 / scale)
}

/** Catmull-Rom cubic [keys1981], a = −½. */
function cubic(t: number): number {
  const x = Math.abs(t)
  if (x >= 2) return 0
  return x < 1 ? (1.5 * x - 2.5) * x * x + 1 : ((-0.5 * x + 2.5) * x - 4) * x + 2
}

/**
 * Taps of output pixels `start` to `start + size − 1` into a source that holds pixels `sourceStart` to
 * `sourceStart + sourceSize − 1`. Weights sum to 1 with those that fall outside, which are then dropped.
 */
export function axisTaps(
  start: number,
  size: number,
  scale: number,
  origin: number,
  sourceStart: number,
  sourceSize: number,
): AxisTaps {
  const support = supportOf(scale)
  const stretch = support / 2
  const n = Math.ceil(2 * support) + 1
  const first = new Int32Array(size)
  const count = new Int32Array(size)
  const weight = new Float32Array(n * size)
  const all = new Float64Array(n)
  let low = sourceSize
  let high = 0
  for (let x = 0; x < size; x++) {
    const u = (start + x + 0.5 - origin) / scale - 0.5
    const from = Math.ceil(u - support)
    let sum = 0
    for (let k = 0; k < n; k++) {
      all[k] = cubic((from + k - u) / stretch)
      sum += all[k]
    }
    let kept = 0
    for (let k = 0; k < n; k++) {
      const i = from + k - sourceStart
      if (i < 0 || i >= sourceSize || (all[k] === 0 && kept === 0)) continue
      if (kept === 0) first[x] = i
      weight[n * x + kept++] = all[k] / sum
    }
    while (kept > 0 && weight[n * x + kept - 1] === 0) kept--
    count[x] = kept
    if (kept > 0) {
      low = Math.min(low, first[x])
      high = Math.max(high, first[x] + kept)
    }
  }
  return { n, first, count, weight, low, high }
}
