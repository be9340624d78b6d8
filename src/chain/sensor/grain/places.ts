/** A dozen groups of places, so that what comes of their sums tells its own spread: each group is left out once [efron1982]. */
export const GROUPS = 12

export function groupOf(x: number, y: number): number {
  return (7 * Math.floor(x / 64) + 5 * Math.floor(y / 64)) % GROUPS
}

/**
 * Spread of a number that comes of all groups; groups that hold nothing count for nothing.
 *
 *   s² = (G − 1)/G · Σ (value without group g − mean of those)²
 */
export function jackknife(of: (without: number) => number): number {
  const values = Array.from({ length: GROUPS }, (_, g) => of(g))
  const mean = values.reduce((s, v) => s + v, 0) / GROUPS
  return Math.sqrt(((GROUPS - 1) / GROUPS) * values.reduce((s, v) => s + (v - mean) ** 2, 0))
}
