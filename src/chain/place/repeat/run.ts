/**
 * The same pictures twice: runs of frames of one series whose thumbnails come again in another one, at any speed, forward or back.
 *
 *   C(i, j) = ⟨aᵢ, bⱼ⟩ / (|aᵢ| |bⱼ|)     a, b  thumbnails less the mean of all of both series
 *   a run:   C(i, j₀ + k (i − i₀)) ≥ 0.95 for N frames i in turn      0.2 ≤ |k| ≤ 5
 *
 * A beat:   C(i, i + L) ≥ 0.95 for half of all i, and for a quarter at most on the mean of the ways shorter than L.
 *
 * What always looks the same is taken out with the mean; a picture that is like a quarter of the others or more tells nothing.
 * N is 8 frames (a third of a second), or a whole shorter series, 3 at least. Limits are choices.
 * Source: normalised correlation, common practice.
 */
export const ALIKE = 0.95
const RUN = 8
const SHORT = 3
const COMMON = 0.25
const SLOPES = { least: 0.2, most: 5 } as const

export interface Run {
  /** Indices of the first series. */
  readonly from: number
  readonly count: number
  /** Index of the second series at `from`, and how many of its frames go by in one of the first. */
  readonly to: number
  readonly slope: number
  /** Mean over the run, and over all pairs that are none. */
  readonly alike: number
  readonly unlike: number
}

type Series = readonly Float32Array[]

/** Whether enough of a series differs from the rest of it for a repeat to be told. */
export function tells(a: Series): boolean {
  const c = correlations(a, a)
  // One that is like itself has something left beside what all of them share.
  const own = c.filter((row, i) => (row[i] as number) >= ALIKE && distinct(row)).length
  return a.length >= SHORT && own >= Math.max(SHORT - 1, a.length / 2)
}

/** The longest run of `a` that comes in `b` again. */
export function repeated(a: Series, b: Series): Run | undefined {
  const need = Math.min(RUN, a.length, b.length)
  return need < SHORT ? undefined : longest(correlations(a, b), need, 0)
}

/** The longest run of a series that comes again later in it, or the beat at which all of it does. @param apart frames that must lie between at least */
export function comesAgain(a: Series, apart = RUN): Run | undefined {
  if (a.length < RUN + apart) return undefined
  const c = correlations(a, a)
  return longest(c, RUN, apart) ?? beatOf(c)
}

/** Share of a series that must be alike after one beat (a beat is seldom whole frames), and share of all shorter ways that may be. */
const BEATS = 0.5
const BETWEEN = 0.25
const LEAST_BEAT = 3

/**
 * The shortest way after which most pictures come again, though not on shorter ways: a loop so short that each of its pictures is like
 * many others, of which no single run tells.
 */
function beatOf(c: readonly Float32Array[]): Run | undefined {
  const rowsOf = (lag: number) => c.slice(0, c.length - lag).map((row, i) => row[i + lag] as number)
  const share = (v: readonly number[]) => v.filter((x) => x >= ALIKE).length / v.length
  const mean = (v: readonly number[]) => v.reduce((sum, x) => sum + x, 0) / v.length
  const shorter: number[] = []
  for (let lag = 1; lag <= c.length - RUN; lag++) {
    const rows = rowsOf(lag)
    if (lag >= LEAST_BEAT && share(rows) >= BEATS && mean(shorter) <= BETWEEN) {
      const alike = mean(rows.filter((v) => v >= ALIKE))
      return { from: 0, count: rows.length, to: lag, slope: 1, alike, unlike: mean(rowsOf(lag >> 1)) }
    }
    shorter.push(share(rows))
  }
  return undefined
}

function longest(c: readonly Float32Array[], need: number, apart: number): Run | undefined {
  const peaks = c.map((row, i) => (distinct(row) ? peakOf(row, apart === 0 ? 0 : i + apart) : undefined))
  let best: Run | undefined
  for (let i = 0; i + need <= c.length; i++) {
    const [j, end] = [peaks[i], peaks[i + need - 1]]
    if (j === undefined || end === undefined) continue
    const k = (end - j) / (need - 1)
    const speeds = need < RUN ? [1, -1].filter((s) => s === k) : [k]
    for (const slope of speeds) {
      const run = along(c, i, j, slope, apart)
      if (run !== undefined && run.count >= need && run.count > (best?.count ?? 0)) best = run
    }
  }
  return best
}

/** As far as a line from here goes on: its slope is told again by each peak that lies on it. */
function along(c: readonly Float32Array[], i: number, j: number, k: number, apart: number): Run | undefined {
  if (!(Math.abs(k) >= SLOPES.least && Math.abs(k) <= SLOPES.most)) return undefined
  let [sum, count, slope] = [0, 0, k]
  for (let n = i; n < c.length; n++) {
    const about = Math.round(j + slope * (n - i))
    const near = [about, about - 1, about + 1].filter((m) => m >= 0 && (apart === 0 || m >= n + apart))
    const row = c[n] as Float32Array
    const at = near.reduce((a, b) => ((row[b] ?? -2) > (row[a] ?? -2) ? b : a), near[0] ?? -1)
    const v = row[at] ?? -2
    if (v < ALIKE) break
    sum += v
    count++
    if (count > RUN) slope = (at - j) / (n - i)
  }
  if (count === 0) return undefined
  const values = c.flatMap((row) => Array.from(row)).filter((v) => v < ALIKE)
  const unlike = values.reduce((a, b) => a + b, 0) / Math.max(values.length, 1)
  return { from: i, count, to: j, slope, alike: sum / count, unlike }
}

function distinct(row: Float32Array): boolean {
  return row.filter((v) => v >= ALIKE).length <= Math.max(1, COMMON * row.length)
}

/** Where a row is highest, from an index on, if it is alike there; of equals the first. */
function peakOf(row: Float32Array, from: number): number | undefined {
  let best = -1
  for (let j = from; j < row.length; j++) {
    if ((row[j] as number) > (best < 0 ? ALIKE : (row[best] as number) + 1e-4)) best = j
  }
  return best < 0 ? undefined : best
}

function correlations(a: Series, b: Series): Float32Array[] {
  const all = a === b ? a : [...a, ...b]
  const mean = new Float64Array(all[0]?.length ?? 0)
  for (const t of all) {
    for (const [k, v] of t.entries()) mean[k] = (mean[k] as number) + v / all.length
  }
  const level = Math.sqrt(mean.reduce((s, v) => s + v * v, 0))
  const unit = (t: Float32Array) => {
    const less = t.map((v, k) => v - (mean[k] as number))
    const size = Math.sqrt(less.reduce((s, v) => s + v * v, 0))
    // What is left of a picture that stands still is noise, and says nothing.
    return size > LEAST * level ? less.map((v) => v / size) : undefined
  }
  const [one, two] = [a.map(unit), b.map(unit)]
  return one.map((u) => Float32Array.from(two, (v) => (u && v ? dot(u, v) : 0)))
}

/** Share of a series' mean picture by which one must differ from it. */
const LEAST = 0.01

function dot(u: Float32Array, v: Float32Array): number {
  let sum = 0
  for (let k = 0; k < u.length; k++) sum += (u[k] as number) * (v[k] as number)
  return sum
}
