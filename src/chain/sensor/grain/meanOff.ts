/**
 * What is left of fine grain in a square block less its own mean m, along both axes: of its variance, and of the product of pixels apart.
 *
 *   E[(a − m)²] = 1 − E[m²]      E[(a − m)(b − m)] = ρ − E[am] − E[bm] + E[m²]      as means over the block
 *
 * ρ of two axes is the product of theirs, and ends after two pixels: each expectation is then a product of means along a line.
 * Source: covariance of a number less a mean that it is part of; by hand.
 */

/** One and two pixels to the right, one and two below. */
export type Four = [number, number, number, number]

export interface MeanOff {
  /** Share of the variance. */
  readonly lost: number
  /** By how much each of the four lags' products falls, in units of the variance. */
  readonly less: Four
}

export function meanOff([x1, x2, y1, y2]: Four, side: number): MeanOff {
  const [across, down] = [lineOf(x1, x2, side), lineOf(y1, y2, side)]
  const less = (own: Line, other: Line) =>
    own.pairs.map((both) => other.mean * (both - own.mean)) as [number, number]
  return {
    lost: Math.min(across.mean * down.mean, 0.5),
    less: [...less(across, down), ...less(down, across)],
  }
}

interface Line {
  /** Of a pixel with the line's mean, over all of them. */
  readonly mean: number
  /** The same of both pixels of a pair together, of pairs one and two apart. */
  readonly pairs: readonly [number, number]
}

function lineOf(one: number, two: number, side: number): Line {
  const [first, second] = [(1 + one + two) / side, (1 + 2 * one + two) / side]
  const all = 1 + (2 * (one * (side - 1) + two * (side - 2))) / side
  return {
    mean: Math.max(all, 0.1) / side,
    pairs: [(2 * (all - first)) / (side - 1), (2 * (all - first - second)) / (side - 2)],
  }
}
