/**
 * Rolling readout: a sensor that reads its rows one after the other exposes each a little later than the one above.
 *
 *   row y is open from y·τ to y·τ + tₑ      τ = tᵣ / H
 *   skew of what moves at v px/s over Δ rows: v · tᵣ · Δ / H
 *
 *   tᵣ  time to read all rows  s    H  rows    tₑ  time that a row is open  s
 *
 * Counted from the moment at which the first row of a frame opens. Source: [liang2008].
 */

export interface Readout {
  /** Seconds from the first row to the last. */
  readonly seconds: number
  readonly rows: number
}

/** Seconds by which a row is later than another one. */
export function rowDelay({ seconds, rows }: Readout, y: number, from: number): number {
  return (seconds * (y - from)) / rows
}
