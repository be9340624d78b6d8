/** A round trip's table row: a known amount was put in, and this came back. */
import { type Reading, told } from '../../src/core/index.js'

export interface Row {
  readonly phenomenon: string
  readonly draws: number
  /** In the unit of `limit`. */
  readonly medianError: number
  readonly limit: number
  /** Share of the answers that lie within two of their own spreads of the truth. */
  readonly insideSpread: number
  /** Share of the draws without an answer. */
  readonly cannotTell: number
  /** Median of two spreads, in the unit of `limit`. */
  readonly halfWidth: number
}

export interface Trip {
  readonly truth: number
  readonly reading: Reading<number>
}

/** @param unit what an error is divided by: the truth, for shares of it, or 1 */
export function rowOf(
  phenomenon: string,
  limit: number,
  trips: readonly Trip[],
  unit: (truth: number) => number,
): Row {
  const answers = trips.flatMap(({ truth, reading }) => {
    if (!told(reading)) return []
    const { value, evidence } = reading
    const spread = evidence.kind === 'measured' ? (evidence.spread ?? 0) : 0
    return [{ error: Math.abs(value - truth) / unit(truth), width: (2 * spread) / unit(truth) }]
  })
  const share = (n: number, of: number) => Number((n / Math.max(of, 1)).toFixed(3))
  return {
    phenomenon,
    draws: trips.length,
    medianError: middle(answers.map((a) => a.error)),
    limit,
    insideSpread: share(answers.filter((a) => a.error <= a.width).length, answers.length),
    cannotTell: share(trips.length - answers.length, trips.length),
    halfWidth: middle(answers.map((a) => a.width)),
  }
}

/** Limits of every row but the error's own. */
export function fine(row: Row): boolean {
  return (
    row.medianError <= row.limit &&
    row.insideSpread >= 0.9 &&
    row.insideSpread <= 0.98 &&
    row.cannotTell <= 0.1 &&
    row.halfWidth <= 3 * row.limit
  )
}

function middle(values: readonly number[]): number {
  const sorted = values.toSorted((a, b) => a - b)
  return Number((sorted[sorted.length >> 1] ?? Number.NaN).toFixed(4))
}
